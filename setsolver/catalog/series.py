"""Pairs of like frames, collected; frames linked by too many of them become a series, which stands for its pairs."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from setsolver.catalog.records import Pairs

__all__ = ["MOST_PAIRS", "Collected", "connected"]

MOST_PAIRS = 100_000
"""Frames that are linked by more pairs than this are one series: some 450 of one view, more where not all are alike."""
_JOINING: Final = 2048
"""Pairs that lead into a series after which it takes in what they lead to: their other pairs then need no look."""


class Collected:
    """Pairs of n frames as they are found; memory stays within some times ``most`` pairs and those that are kept."""

    def __init__(self, count: int, most: int = MOST_PAIRS) -> None:
        self._count, self._most = count, most
        self._label = np.full(count, -1, np.int64)
        self._kept = np.zeros(0, np.int64)
        self._new: list[NDArray[np.int64]] = []
        self._waiting = self._joining = 0

    def add(self, first: NDArray[np.int64], second: NDArray[np.int64]) -> None:
        """Take pairs, first < second, none twice."""
        self._new.append(first * self._count + second)
        self._waiting += len(first)
        self._joining += int(np.count_nonzero((self._label[first] >= 0) | (self._label[second] >= 0)))
        if self._joining > _JOINING or self._waiting > max(self._most, len(self._kept)):
            self._settle()

    def settled(self, first: NDArray[np.int64], second: NDArray[np.int64]) -> NDArray[np.bool_]:
        """Return which pairs lie in one series already, whatever their distance."""
        label = self._label[first]
        inside: NDArray[np.bool_] = (label >= 0) & (label == self._label[second])
        return inside

    def among(self, frames: NDArray[np.int64]) -> NDArray[np.bool_]:
        """Return which of these frames are in a series."""
        inside: NDArray[np.bool_] = self._label[frames] >= 0
        return inside

    def whole(self, frames: slice | NDArray[np.int64]) -> int:
        """Return the series that all of these frames are in, -1 where there is none."""
        label = self._label[frames]
        return int(label[0]) if (label == label[0]).all() else -1

    def pairs(self) -> Pairs:
        """Return what was found."""
        self._settle()
        first, second = np.divmod(np.sort(self._kept), max(self._count, 1))
        return Pairs(first, second, _members(self._label))

    def _settle(self) -> None:
        """Take the pairs of components that have too many out, and remember those components as series."""
        found = np.concatenate([self._kept, *self._new])
        self._new, self._waiting, self._joining = [], 0, 0
        pairs = Pairs(*np.divmod(found, max(self._count, 1)), _members(self._label))
        component = connected(self._count, *pairs.links())
        size = np.bincount(component[pairs.first], minlength=self._count)
        large = size > self._most
        large[component[self._label >= 0]] = True
        self._label = np.where(large[component], component, -1)
        self._kept = found[~large[component[pairs.first]]]


def connected(count: int, first: NDArray[np.int64], second: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return a label for each of ``count`` frames; frames that links connect have one label."""
    links = coo_array((np.ones(len(first), np.int8), (first, second)), shape=(count, count))
    return np.asarray(connected_components(links, directed=False)[1], dtype=np.int64)


def _members(label: NDArray[np.int64]) -> tuple[NDArray[np.int64], ...]:
    """Return the positions with each label from 0, in order of their first."""
    inside = np.flatnonzero(label >= 0)
    by_label = inside[np.argsort(label[inside], kind="stable")]
    starts = np.flatnonzero(np.diff(label[by_label])) + 1
    return tuple(sorted((part for part in np.split(by_label, starts) if len(part)), key=lambda part: int(part[0])))
