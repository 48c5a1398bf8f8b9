"""Frames of which a book holds one at most: those of a moment, twins, and whole circles of both."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from setsolver.domain.book import Book
    from setsolver.domain.problem import Floats

__all__ = ["broken_circles", "mates_of"]

OVER = 1e-6


def mates_of(book: Book) -> dict[int, set[int]]:
    """Return to each frame those that may not be in the same book."""
    mates: dict[int, set[int]] = {}
    for a, b in book.problem.conflict.tolist():
        mates.setdefault(a, set()).add(b)
        mates.setdefault(b, set()).add(a)
    for number in np.flatnonzero(book.group_cap == 1):
        members: dict[int, set[int]] = {}
        for frame, label in zip(book.problem.frame.tolist(), book.group[number].tolist(), strict=True):
            if label >= 0:
                members.setdefault(label, set()).add(frame)
        for own in members.values():
            for frame in own:
                mates.setdefault(frame, set()).update(own - {frame})
    return mates


def broken_circles(mates: dict[int, set[int]], share: Floats) -> set[tuple[int, ...]]:
    """Return circles of mates, each frame a mate of all others, of which ``share``, [frames], holds more than one.

    A pair alone would let a linear program take half of each of many. Every pair that is held more than once lies in
    one of the circles, which grow by whatever is held most.
    """
    held = np.flatnonzero(share > OVER)
    order = held[np.argsort(-share[held], kind="stable")].tolist()
    there = set(order)
    found: set[tuple[int, ...]] = set()
    for one in order:
        near = [frame for frame in order if frame in mates.get(one, ()) and frame in there]
        for other in near:
            if other < one or share[one] + share[other] <= 1 + OVER:
                continue
            found.add(_grown(mates, near, [one, other]))
        circle = _grown(mates, near, [one])
        if share[list(circle)].sum() > 1 + OVER:
            found.add(circle)
    return found


def _grown(mates: dict[int, set[int]], near: list[int], circle: list[int]) -> tuple[int, ...]:
    """Return a circle with all of ``near`` that are mates of everyone in it by then."""
    for frame in near:
        if frame not in circle and all(frame in mates[one] for one in circle):
            circle = [*circle, frame]
    return tuple(sorted(circle))
