"""Short codes of unit vectors: lower bounds on all distances in half a kilobyte a vector.

Distances can only shrink under an orthogonal projection, and the lengths of what it leaves out differ by no more than
the vectors do. So the first principal axes and the length of the rest give a lower bound on every distance in 257
numbers instead of 1344. A first look uses still fewer axes; how many, a sample tells.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

__all__ = ["Codes", "Vectors", "coded"]

_AXES = 256
"""Measured on signatures of the training table, mixed: 128 axes let nearly 3 times as many pairs pass as 256 do."""
_STEP = 16
_SAMPLE = 4096
_PROBE = 1024
_BLOCK = 1024
_CHUNK = 2048
_SECOND_LOOK = 44_000
"""What a second look at a pair costs, in axes of the first: 1.1 microseconds against 25 picoseconds, measured."""
_ROUNDING = 1e-4
"""Squared distances of unit vectors in float32 are off by less; candidates within it are measured in full."""


class Vectors(Protocol):
    """Vectors by position, as an array float32[n, d] or as something that reads or makes them when asked."""

    def __len__(self) -> int: ...

    def __getitem__(self, rows: NDArray[np.int64], /) -> NDArray[np.float32]: ...


@dataclass(frozen=True, slots=True, eq=False)
class Codes:
    """Codes of n vectors.

    along : float16[n, axes], coordinates along the main axes, the longest first. rest : float32[n], length of what
    they leave out. first : axes of the first look. first_rest : float32[n], length of what those leave out.
    error : largest distance between a vector's coordinates and their rounding.
    """

    along: NDArray[np.float16]
    rest: NDArray[np.float32]
    first: int
    first_rest: NDArray[np.float32]
    error: float

    def __len__(self) -> int:
        return len(self.rest)

    def left(self, rows: slice) -> NDArray[np.float32]:
        """Return [-2 a, |a|^2, 1] of rows in the first look; times ``right`` it is the squared distance."""
        code = self._short(rows)
        return np.column_stack([-2 * code, np.einsum("ij,ij->i", code, code), np.ones(len(code), np.float32)])

    def right(self, rows: slice) -> NDArray[np.float32]:
        """Return [b, 1, |b|^2] of rows in the first look, as columns."""
        code = self._short(rows)
        return np.column_stack([code, np.ones(len(code), np.float32), np.einsum("ij,ij->i", code, code)]).T

    def limit(self, radius: float) -> float:
        """Return the largest squared distance of codes that vectors within ``radius`` can have."""
        return (radius + 2 * self.error) ** 2 + _ROUNDING

    def near(self, first: NDArray[np.int64], second: NDArray[np.int64], radius: float) -> NDArray[np.bool_]:
        """Return whether the whole codes of pairs leave it open that they are within ``radius``."""
        open_ = np.empty(len(first), np.bool_)
        limit = self.limit(radius)
        for start in range(0, len(first), _CHUNK):
            part = slice(start, start + _CHUNK)
            one, two = first[part], second[part]
            apart = self.along[one].astype(np.float32)
            apart -= self.along[two]
            rest = self.rest[one] - self.rest[two]
            open_[part] = np.einsum("ij,ij->i", apart, apart) + rest * rest <= limit
        return open_

    def _short(self, rows: slice) -> NDArray[np.float32]:
        return np.column_stack([self.along[rows, : self.first].astype(np.float32), self.first_rest[rows]])


def coded(vectors: Vectors, radius: float) -> Codes:
    """Return the codes of unit vectors; ``radius`` is that of the pairs to be told from the rest.

    Vectors are asked for block by block, so that they need not all be there at once.
    """
    sample = vectors[np.arange(0, len(vectors), max(1, len(vectors) // _SAMPLE), dtype=np.int64)]
    mean, axes = _main_axes(sample)
    first = _first_axes(_product(sample[:: max(1, len(sample) // _PROBE)] - mean, axes), radius)
    count = len(vectors)
    along = np.empty((count, axes.shape[1]), np.float16)
    rest, first_rest = np.empty(count, np.float32), np.empty(count, np.float32)
    error = 0.0
    for start in range(0, count, _BLOCK):
        part = slice(start, min(start + _BLOCK, count))
        block = vectors[np.arange(part.start, part.stop, dtype=np.int64)] - mean
        exact = _product(block, axes)
        squares = np.einsum("ij,ij->i", block, block)
        rest[part] = _length(squares, exact)
        first_rest[part] = _length(squares, exact[:, :first])
        along[part] = exact
        exact -= along[part]
        error = max(error, float(np.linalg.norm(exact, axis=1).max()))
    return Codes(along, rest, first, first_rest, error)


def _product(block: NDArray[np.float32], axes: NDArray[np.float32]) -> NDArray[np.float32]:
    along: NDArray[np.float32] = block @ axes
    return along


def _length(squares: NDArray[np.float32], along: NDArray[np.float32]) -> NDArray[np.float32]:
    left: NDArray[np.float32] = np.sqrt(np.maximum(squares - np.einsum("ij,ij->i", along, along), 0))
    return left


def _main_axes(sample: NDArray[np.float32]) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return the sample's mean and orthonormal columns near its principal axes, the longest first.

    By a randomised range finder with power steps (Halko, Martinsson, Tropp, SIAM Review 53, 2011, algorithm 4.4): any
    orthonormal axes give a true bound, and these cost a tenth of the exact ones.
    """
    mean = sample.mean(axis=0)
    spread = np.zeros((sample.shape[1], sample.shape[1]), np.float32)
    for start in range(0, len(sample), _BLOCK):
        block = sample[start : start + _BLOCK] - mean
        spread += block.T @ block
    axes = np.random.default_rng(0).normal(size=(len(spread), min(_AXES, len(spread)))).astype(np.float32)
    for _ in range(3):
        axes = np.linalg.qr(spread @ axes)[0]
    _, turn = np.linalg.eigh(axes.T @ spread @ axes)
    return mean, np.ascontiguousarray(axes @ turn[:, ::-1])


def _first_axes(along: NDArray[np.float32], radius: float) -> int:
    """Return how many axes a first look should use so that it and the second looks cost least, told by a sample."""
    total = along.shape[1]
    numbers = range(min(_STEP, total), total + 1, _STEP)
    squares = np.zeros((len(along), len(along)), np.float32)
    costs, done = [], 0
    for number in numbers:
        part = along[:, done:number]
        length = np.einsum("ij,ij->i", part, part)
        squares += length[:, None] + length[None, :] - 2 * (part @ part.T)
        costs.append(number + _SECOND_LOOK * float(np.mean(squares <= radius * radius)))
        done = number
    return numbers[int(np.argmin(costs))]
