"""Vectors about their mean turned onto their principal axes, and cut to the longest of them."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import eigh

from setsolver.domain.last import remembered, worth_keeping
from setsolver.domain.problem import Floats
from setsolver.machine import one_blas_thread

__all__ = ["Principal", "principal"]

_BLOCKS = 10
"""Blocks of vectors whose Gram matrices are kept, so that after a change of one vector its own is made again."""
_MOST_KEPT = 30_000
"""Vectors up to which they are kept."""


class _Known(NamedTuple):
    vectors: NDArray[np.float32]
    grams: list[Floats]


class Principal:
    """Principal axes of vectors that change a few at a time; what is returned depends on the vectors alone."""

    def __init__(self) -> None:
        self._known: _Known | None = None
        remembered(self)

    def forget(self) -> None:
        """Let go of what is kept."""
        self._known = None

    def of(self, vectors: NDArray[np.float32], most: int) -> Floats:
        """Return vectors [n, d] about their mean on their ``most`` longest principal axes or fewer, longest last."""
        count, size = vectors.shape
        mean = vectors.mean(axis=0, dtype=np.float64)
        if count <= size:
            return principal(vectors - mean.astype(np.float32), most)
        with one_blas_thread():
            gram = sum(self._grams(vectors), start=np.zeros((size, size))) - count * np.outer(mean, mean)
            _, axes = _largest(gram, min(most, size))
            turned = (vectors @ axes.astype(np.float32)).astype(np.float64)
        return np.asarray(turned - mean @ axes)

    def _grams(self, vectors: NDArray[np.float32]) -> list[Floats]:
        """Return the Gram matrix of each block of vectors, in double precision."""
        known, step = self._known, -(-len(vectors) // _BLOCKS)
        old = known.vectors if known is not None and known.vectors.shape == vectors.shape else None
        grams = []
        for number, start in enumerate(range(0, len(vectors), step)):
            block = vectors[start : start + step]
            if known is not None and old is not None and np.array_equal(old[start : start + step], block):
                grams.append(known.grams[number])
            else:
                grams.append((block.T @ block).astype(np.float64))
        if len(vectors) <= _MOST_KEPT and (known is None or worth_keeping(len(vectors), len(known.vectors))):
            self._known = _Known(vectors, grams)
        return grams


def principal(vectors: np.ndarray, most: int) -> Floats:
    """Return centred vectors [n, d] on their ``most`` longest principal axes or fewer, the longest last; [n, k].

    By whichever of the two Gram matrices is smaller.
    """
    count, size = vectors.shape
    keep = min(most, count, size)
    with one_blas_thread():
        if count <= size:
            values, axes = _largest(vectors @ vectors.T, keep)
            return np.asarray(axes * np.sqrt(np.maximum(values, 0.0)))
        _, axes = _largest(vectors.T @ vectors, keep)
        return np.asarray((vectors @ axes).astype(np.float64))


def _largest(gram: np.ndarray, keep: int) -> tuple[Floats, Floats]:
    """Return the ``keep`` largest eigenvalues [k], the largest last, and their vectors [n, k]."""
    if keep == 0:
        return np.zeros(0), np.zeros((len(gram), 0))
    some = (len(gram) - keep, len(gram) - 1)
    values, axes = eigh(gram.astype(np.float64), subset_by_index=some, driver="evr", check_finite=False)
    return values, axes
