"""Vectors turned onto their principal axes, and cut to the longest of them."""

from __future__ import annotations

import numpy as np
from threadpoolctl import threadpool_limits

from setsolver.domain.problem import Floats

__all__ = ["principal"]

SMALL = 100
"""Matrices up to this size are decomposed on one thread anyway."""


def principal(vectors: np.ndarray, most: int) -> Floats:
    """Return centred vectors [n, d] on their ``most`` longest principal axes or fewer, the longest last; [n, k].

    By whichever of the two Gram matrices is smaller, and on one thread: LAPACK's threads wait for each other at every
    step, so where other work keeps the cores busy a decomposition that takes half a second alone took more than a
    minute on two.
    """
    if min(vectors.shape) < SMALL:
        return _decomposed(vectors, most)
    with threadpool_limits(1, user_api="blas"):
        return _decomposed(vectors, most)


def _decomposed(vectors: np.ndarray, most: int) -> Floats:
    count, size = vectors.shape
    keep = min(most, count, size)
    if count <= size:
        values, axes = np.linalg.eigh((vectors @ vectors.T).astype(np.float64))
        return np.asarray(axes[:, -keep:] * np.sqrt(np.maximum(values[-keep:], 0.0)))
    _, axes = np.linalg.eigh((vectors.T @ vectors).astype(np.float64))
    return np.asarray((vectors @ axes[:, -keep:]).astype(np.float64))
