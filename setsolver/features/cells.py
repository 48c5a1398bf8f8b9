"""Means of a picture over the cells of a grid."""

from __future__ import annotations

from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["area_means"]


def area_means(plane: NDArray[np.float32], cells: tuple[int, int]) -> NDArray[np.float32]:
    """Return the mean of a plane [h, w] over each cell of a grid; float32[cells].

    A pixel on an edge counts in both cells by its parts. Two products of matrices: for a few large cells they take a
    fifth of the time of OpenCV's area averaging, and OpenCV's product, unlike NumPy's, starts no threads.
    """
    rows, columns = (_coverage(side, count) for side, count in zip(plane.shape, cells, strict=True))
    means: NDArray[np.float32] = cv2.gemm(rows, cv2.gemm(plane, columns.T, 1, None, 0), 1, None, 0)
    return means


@lru_cache(maxsize=64)
def _coverage(length: int, cells: int) -> NDArray[np.float32]:
    """Return the share of each cell that each pixel covers; float32[cells, length], rows sum to 1."""
    edges = np.arange(cells + 1)[:, None] * (length / cells)
    pixels = np.arange(length)
    parts = np.minimum(edges[1:], pixels + 1) - np.maximum(edges[:-1], pixels)
    shares: NDArray[np.float32] = (np.maximum(parts, 0) * (cells / length)).astype(np.float32)
    return shares
