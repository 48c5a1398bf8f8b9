"""What was worked out of rows, kept for the next table that has some of them again, in whatever order."""

from __future__ import annotations

from collections.abc import Callable
from operator import is_not

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.last import remembered, worth_keeping
from setsolver.domain.problem import Floats, Ints

__all__ = ["KnownRows", "same_rows"]

_FACTOR = np.uint64(0x9E3779B97F4A7C15)
"""Odd, with its bits well mixed: 2^64 over the golden ratio."""


class KnownRows:
    """Answers [M, k] by row; a row is known by its numbers and by the very object that it is of."""

    def __init__(self) -> None:
        self._held: tuple[NDArray[np.object_], Ints, Floats, Floats] | None = None
        remembered(self)

    def forget(self) -> None:
        """Let go of the answers."""
        self._held = None

    def of(self, sources: NDArray[np.object_], source: Ints, numbers: Floats, make: Callable[[Ints], Floats]) -> Floats:
        """Return the answer for each row.

        Parameters
        ----------
        sources : [F] objects. source : [M], which of them each row is of. numbers : [M, d].
        make : told rows [m], returns their answers [m, k]. That of a row must not depend on the others.
        """
        held = self._held  # read once: another thread may keep others meanwhile
        place = np.full(len(source), -1) if held is None else _places(*held[:3], sources, source, numbers)
        new = np.flatnonzero(place < 0)
        made = make(new)
        if held is None or len(new) == len(source):
            answers = made
        else:
            answers = held[3][place]
            answers[new] = made
        if held is None or worth_keeping(len(sources), len(held[0])):
            self._held = (sources, source, numbers, answers)
        return answers


def _places(
    old_sources: NDArray[np.object_],
    old_source: Ints,
    old_numbers: Floats,
    sources: NDArray[np.object_],
    source: Ints,
    numbers: Floats,
) -> Ints:
    """Return for each row the old row that is the same, -1 where there is none."""
    if len(old_sources) != len(sources) or old_numbers.shape[1] != numbers.shape[1]:
        return np.full(len(source), -1)
    place = same_rows(old_source, old_numbers, source, numbers)
    if old_sources is not sources:
        other = np.fromiter(map(is_not, old_sources.tolist(), sources.tolist()), np.bool_, len(sources))
        place = np.where(other[source], -1, place)
    return place


def same_rows(old_source: Ints, old_numbers: Floats, source: Ints, numbers: Floats) -> Ints:
    """Return for each row [M] the old row of the same source and with the same numbers [M, d], -1 where there is none.

    A row that is the same by chance of its mixed number alone is told apart; of equal old rows any may be returned.
    """
    if not len(old_source):
        return np.full(len(source), -1)
    if np.array_equal(old_source, source) and np.array_equal(old_numbers, numbers):
        return np.arange(len(source))
    keys, wanted = _mixed(old_source, old_numbers), _mixed(source, numbers)
    order = np.argsort(keys, kind="stable")
    place = order[np.minimum(np.searchsorted(keys[order], wanted), len(keys) - 1)]
    same = (old_source[place] == source) & (old_numbers[place] == numbers).all(axis=1)
    return np.where(same, place, -1)


def _mixed(source: Ints, numbers: Floats) -> NDArray[np.uint64]:
    """Return one number for each row; rows that share one are told apart by all their numbers."""
    bits = np.ascontiguousarray(numbers, np.float64).view(np.uint64)
    mixed = source.astype(np.uint64) * _FACTOR
    for column in bits.T:
        mixed = (mixed ^ (column >> np.uint64(29)) ^ column) * _FACTOR
    return mixed
