"""The last answer to a question, kept with the very objects that it was made of."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from operator import is_
from typing import Generic, Protocol, TypeVar
from weakref import WeakSet

__all__ = ["Keeps", "Kept", "Last", "Recent", "at_hand", "forget_all", "remembered", "worth_keeping"]

T = TypeVar("T")
_MOST_TWICE = 10_000
"""Rows up to which two answers are kept; vectors of that many take 50 MB."""


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


def at_hand(count: int) -> int:
    """Return how many answers about so many rows are kept: after a change that is taken back, the one before serves."""
    return 2 if count <= _MOST_TWICE else 1


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


class Recent(Generic[T]):
    """The last two of something, the newest first, until everything is forgotten. Read ``held`` once in a question."""

    def __init__(self) -> None:
        self.held: tuple[T, ...] = ()
        remembered(self)

    def forget(self) -> None:
        """Let go of them."""
        self.held = ()

    def find(self, fits: Callable[[T], bool]) -> T | None:
        """Return what fits, which is the newest then, or None."""
        held = self.held
        found = next((one for one in held if fits(one)), None)
        if found is not None:
            self.held = (found, *(one for one in held if one is not found))
        return found

    def put(self, one: T, rows: int) -> None:
        """Keep something about so many rows."""
        self.held = (one, *self.held)[: at_hand(rows)]


class Last(Generic[T]):
    """Keeps two answers; a question about the very same objects (``is``, nothing is compared) has its own at once.

    For what is costly and depends on a few measures of every frame: a word about one frame makes another catalog, but
    leaves the measures of all others the objects that they were. Answers are never changed, only taken from.
    """

    def __init__(self) -> None:
        self._recent: Recent[tuple[Sequence[object], T]] = Recent()

    def of(self, parts: Sequence[object], make: Callable[[], T]) -> T:
        """Return the answer about these objects, made where it is not among those that are kept."""
        known = self._recent.find(lambda one: len(one[0]) == len(parts) and all(map(is_, one[0], parts)))
        if known is not None:
            return known[1]
        made = make()
        self._recent.put((parts, made), 0)
        return made
