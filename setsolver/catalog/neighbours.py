"""All pairs of near vectors among many, exactly, without a table of all pairs.

Distances can only shrink under an orthogonal projection, and the lengths of what it leaves out differ by no more than
the vectors do. So the first principal axes and the length of the rest give a lower bound on every distance in 257
numbers instead of 1344; pairs that pass are measured in full. Vectors are sorted along the first axis, and blocks that
lie apart along it are not compared at all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = ["Pairs", "near_pairs"]

_AXES = 256
"""Measured on signatures of the training table, mixed: 128 axes let 11 times as many pairs pass as 256 do."""
_BLOCK = 2048
_SAMPLE = 4096
_CHECK = 512
_FEW = 3000
"""Up to so many vectors, comparing them whole costs less than finding their axes."""
_ROUNDING = 1e-4
"""Squared distances of unit vectors in float32 are off by less; candidates within it are measured in full."""


class Pairs(NamedTuple):
    """first < second : int64[P], positions, in order. distance : float32[P], Euclidean."""

    first: NDArray[np.int64]
    second: NDArray[np.int64]
    distance: NDArray[np.float32]


def near_pairs(vectors: NDArray[np.float32], radius: float, tell: Callable[[int, int], None] | None = None) -> Pairs:
    """Return every pair of rows of ``vectors`` [n, d] (unit length) at most ``radius`` apart.

    ``tell`` : told (rows done, rows).
    """
    short = _shortened(vectors) if len(vectors) > _FEW else vectors
    order = np.argsort(short[:, 0], kind="stable")
    found = [
        _measured(vectors, order[rows], order[columns], radius)
        for rows, columns in _candidates(short[order], radius, tell)
    ]
    first, second, distance = (np.concatenate(part) for part in zip(*found, strict=True)) if found else _NONE
    low, high = np.minimum(first, second), np.maximum(first, second)
    sort = np.lexsort((high, low))
    return Pairs(low[sort], high[sort], distance[sort])


_NONE = (np.zeros(0, np.int64), np.zeros(0, np.int64), np.zeros(0, np.float32))


def _shortened(vectors: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return coordinates along the main axes and the length of the rest; float32[n, axes + 1]."""
    mean, axes = _main_axes(vectors[:: max(1, len(vectors) // _SAMPLE)])
    short = np.empty((len(vectors), axes.shape[1] + 1), np.float32)
    for start in range(0, len(vectors), _BLOCK):
        block = vectors[start : start + _BLOCK] - mean
        along = block @ axes
        rest = np.einsum("ij,ij->i", block, block) - np.einsum("ij,ij->i", along, along)
        short[start : start + _BLOCK] = np.column_stack([along, np.sqrt(np.maximum(rest, 0))])
    return short


def _main_axes(sample: NDArray[np.float32]) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return the sample's mean and orthonormal columns near its principal axes, the longest first.

    By a randomised range finder with power steps (Halko, Martinsson, Tropp, SIAM Review 53, 2011, algorithm 4.4): any
    orthonormal axes give a true bound, and these cost a tenth of the exact ones.
    """
    if not len(sample):
        return np.zeros(sample.shape[1], np.float32), np.eye(sample.shape[1], 1, dtype=np.float32)
    mean = sample.mean(axis=0)
    spread = (sample - mean).T @ (sample - mean)
    axes = np.random.default_rng(0).normal(size=(len(spread), min(_AXES, len(spread)))).astype(np.float32)
    for _ in range(3):
        axes = np.linalg.qr(spread @ axes)[0]
    _, turn = np.linalg.eigh(axes.T @ spread @ axes)
    return mean, np.ascontiguousarray(axes @ turn[:, ::-1])


def _candidates(
    short: NDArray[np.float32], radius: float, tell: Callable[[int, int], None] | None
) -> Iterator[tuple[NDArray[np.int64], NDArray[np.int64]]]:
    """Yield (rows, columns) whose lower bound is within the radius; ``short`` sorted by its first column.

    [-2 a, |a|^2, 1] . [b, 1, |b|^2] is the squared distance, so that one product gives it.
    """
    squares = np.einsum("ij,ij->i", short, short)
    ones = np.ones_like(squares)
    left = np.column_stack([-2 * short, squares, ones])
    right = np.ascontiguousarray(np.column_stack([short, ones, squares]).T)
    limit = radius * radius + _ROUNDING
    for start in range(0, len(short), _BLOCK):
        stop = min(start + _BLOCK, len(short))
        end = int(np.searchsorted(short[:, 0], short[stop - 1, 0] + radius + _ROUNDING, side="right"))
        for begin in range(start, end, _BLOCK):
            bound = left[start:stop] @ right[:, begin : min(begin + _BLOCK, end)]
            rows, columns = np.divmod(np.flatnonzero(bound <= limit), bound.shape[1])
            above = columns + begin > rows + start
            if above.any():
                yield rows[above] + start, columns[above] + begin
        if tell is not None:
            tell(stop, len(short))


def _measured(
    vectors: NDArray[np.float32], first: NDArray[np.int64], second: NDArray[np.int64], radius: float
) -> Pairs:
    """Keep the candidates that are within the radius in full."""
    distance = np.empty(len(first), np.float32)
    for start in range(0, len(first), _CHECK):
        part = slice(start, start + _CHECK)
        apart = vectors[first[part]]
        apart -= vectors[second[part]]
        distance[part] = np.sqrt(np.einsum("ij,ij->i", apart, apart))
    near = distance <= radius
    return Pairs(first[near], second[near], distance[near])
