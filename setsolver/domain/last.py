"""The last answer to a question, kept with the very objects that it was made of."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Generic, TypeVar

__all__ = ["Last"]

T = TypeVar("T")


class Last(Generic[T]):
    """Keeps one answer; a question about the very same objects (``is``, nothing is compared) has it at once.

    For what is costly and depends on a few measures of every frame: a word about one frame makes another catalog, but
    leaves the measures of all others the objects that they were. Answers are never changed, only taken from.
    """

    def __init__(self) -> None:
        self._held: tuple[Sequence[object], T] | None = None

    def of(self, parts: Sequence[object], make: Callable[[], T]) -> T:
        """Return the answer about these objects, made where it is not the one that is kept."""
        held = self._held  # read once: another thread may keep another answer meanwhile
        if held is not None and len(held[0]) == len(parts) and all(a is b for a, b in zip(held[0], parts, strict=True)):
            return held[1]
        made = make()
        self._held = (parts, made)
        return made
