"""Pace in the linear program: how many spreads of a window follow one of which pace.

The pace of the last spread flows through the windows in their order. What follows what inside a window is left open, so
the program is never below the best book; a spread of its own pace after another costs as much as in the book.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from setsolver.domain.book import Book, Spread
    from setsolver.domain.problem import Floats

__all__ = ["PaceRows", "mind_pace", "pace_costs", "windows_of"]

PaceRows = dict[tuple[int, int], tuple[tuple[int, int], tuple[int, int]]]
"""By window, for quiet and for full spreads, the two rows that count them from above and from below."""
NONE, QUIET, FULL = range(3)


def windows_of(book: Book) -> list[tuple[int, int]]:
    """Return passages, and neighbours within a chapter, in the order of a book."""
    chapter = book.chapter
    single = [(number, number) for number in range(len(chapter))]
    pairs = [(n, n + 1) for n in range(len(chapter) - 1) if chapter[n] == chapter[n + 1]]
    return sorted(single + pairs)


def mind_pace(
    book: Book,
    spreads: Sequence[Spread],
    more: Callable[[float], int],
    same: Callable[[Sequence[int], Sequence[float], float], tuple[int, int]],
) -> PaceRows:
    """Add variables (``more``, of their price) and rows (``same``: sum equal to a number) for pace."""
    own: dict[tuple[int, int, bool], list[int]] = {}
    for number, spread in enumerate(spreads):
        own.setdefault((spread.first, spread.last, spread.full), []).append(number)
    rows: PaceRows = {}
    state: list[int] | None = None  # variables of the pace of the last spread: none, quiet, full
    for first, last in windows_of(book):
        steps = {
            (was, is_): more(book.pace if was == is_ else 0.0) for was in (NONE, QUIET, FULL) for is_ in (QUIET, FULL)
        }
        counts = []
        for is_ in (QUIET, FULL):
            there = own.get((first, last, is_ == FULL), [])
            at = [*there, *(steps[was, is_] for was in (NONE, QUIET, FULL))]
            counts.append(same(at, [*[1.0] * len(there), -1.0, -1.0, -1.0], 0.0))
        rows[first, last] = counts[0], counts[1]
        now = [more(0.0) for _ in (NONE, QUIET, FULL)]
        for pace in (NONE, QUIET, FULL):
            at, value = [now[pace]], [1.0]
            for (was, is_), step in steps.items():
                if (was == pace) != (is_ == pace):
                    at.append(step)
                    value.append(1.0 if was == pace else -1.0)
            if state is not None:
                at.append(state[pace])
                value.append(-1.0)
            same(at, value, 1.0 if state is None and pace == NONE else 0.0)
        state = now
    return rows


def pace_costs(rows: PaceRows, dual: Floats) -> Mapping[tuple[int, int], Floats]:
    """Return by window what a quiet and a full spread cost, [2], by the rows that count them."""
    return {window: np.array([dual[over] - dual[under] for over, under in of]) for window, of in rows.items()}
