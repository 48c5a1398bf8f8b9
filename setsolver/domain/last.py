"""The last answer to a question, kept with the very objects that it was made of."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from operator import is_
from typing import Generic, Protocol, TypeVar
from weakref import WeakSet

__all__ = ["Keeps", "Kept", "Last", "forget_all", "remembered", "worth_keeping"]

T = TypeVar("T")


class Keeps(Protocol):
    """What keeps an answer and can let it go."""

    def forget(self) -> None:
        """Let go of what is kept."""


_all: WeakSet[Keeps] = WeakSet()


def remembered(keeps: Keeps) -> None:
    """Let ``forget_all`` know of something that keeps an answer."""
    _all.add(keeps)


def forget_all() -> None:
    """Let go of every answer that is kept: the next question of each kind is answered from nothing."""
    for keeps in list(_all):
        keeps.forget()


def worth_keeping(now: int, held: int) -> bool:
    """Tell whether so many rows are kept in place of those held: a look at one frame must not drive out a catalog."""
    return now * 10 >= held


class Kept(Generic[T]):
    """The last of something, until everything is forgotten; None before the first.

    Read ``last`` once in a question: another thread may keep another meanwhile.
    """

    def __init__(self) -> None:
        self.last: T | None = None
        remembered(self)

    def forget(self) -> None:
        """Let go of it."""
        self.last = None


class Last(Generic[T]):
    """Keeps one answer; a question about the very same objects (``is``, nothing is compared) has it at once.

    For what is costly and depends on a few measures of every frame: a word about one frame makes another catalog, but
    leaves the measures of all others the objects that they were. Answers are never changed, only taken from.
    """

    def __init__(self) -> None:
        self._held: tuple[Sequence[object], T] | None = None
        remembered(self)

    def forget(self) -> None:
        """Let go of the answer."""
        self._held = None

    def of(self, parts: Sequence[object], make: Callable[[], T]) -> T:
        """Return the answer about these objects, made where it is not the one that is kept."""
        held = self._held  # read once: another thread may keep another answer meanwhile
        if held is not None and len(held[0]) == len(parts) and all(map(is_, held[0], parts)):
            return held[1]
        made = make()
        self._held = (parts, made)
        return made
