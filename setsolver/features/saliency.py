"""What stands out in a small picture by its pixels alone: surprising structure, and what the border does not reach."""

from __future__ import annotations

from functools import cache
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra

__all__ = ["SIDE", "enclosed", "surprising"]

SIDE: Final = 64
"""Width and height of the maps, whatever the picture's aspect."""
_GRID: Final = 48
"""Width and height of the graph on which ways from the border are found."""
_FREE: Final = 1.5
"""Step between neighbours, in L*a*b*, that costs nothing: a sky that darkens towards its zenith is one thing."""
_LEAST: Final = 1e-3


def surprising(lightness: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the spectral residual (Hou, Zhang, CVPR 2007), float32[64, 64], 0 to 1.

    Parameters
    ----------
    lightness : float32[64, 64], L*.
    """
    spectrum = np.fft.fft2(lightness.astype(np.float64))
    logarithm = np.log(np.abs(spectrum) + 1e-6)
    surprise = logarithm - cv2.blur(logarithm, (3, 3), borderType=cv2.BORDER_REFLECT)
    back = np.abs(np.fft.ifft2(np.exp(surprise + 1j * np.angle(spectrum)))) ** 2
    return _normal(cv2.GaussianBlur(back, (0, 0), 2.5))


def enclosed(lab: NDArray[np.float32]) -> tuple[NDArray[np.float32], float]:
    """Return how far each place is from the border along the smoothest way, float32[64, 64], 0 to 1; and its size.

    A background reaches the border, a thing does not: the geodesic distance of colours (Wei, Wen, Zhu, Sun, "Geodesic
    saliency using background priors", ECCV 2012), here on pixels instead of patches.

    Parameters
    ----------
    lab : float32[64, 64, 3].

    Returns
    -------
    The map over its 99th percentile, and that distance's 99th in L*a*b*: 0 in a picture without anything.
    """
    first, second, order, graph = _ways()
    small = cv2.resize(cv2.GaussianBlur(lab, (0, 0), 0.9), (_GRID, _GRID), interpolation=cv2.INTER_AREA).reshape(-1, 3)
    step = np.linalg.norm(small[first] - small[second], axis=1)
    weights = np.concatenate([np.maximum(step - _FREE, 0.0) + _LEAST, np.full(4 * _GRID - 4, _LEAST)])
    graph = csr_array((weights[order], graph.indices, graph.indptr), shape=graph.shape)
    far = dijkstra(graph, directed=False, indices=_GRID * _GRID)[:-1].reshape(_GRID, _GRID)
    wide = cv2.resize(far.astype(np.float32), (SIDE, SIDE), interpolation=cv2.INTER_LINEAR)
    return _normal(cv2.GaussianBlur(wide, (0, 0), 1.0)), float(np.percentile(far, 99))


@cache
def _ways() -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64], csr_array]:
    """Return both ends of every step between neighbours, the order of a graph's weights, and that graph.

    The graph has one node more than places: it is a short step from every place of the border.
    """
    at = np.arange(_GRID * _GRID).reshape(_GRID, _GRID)
    starts = (at[:, :-1], at[:-1], at[:-1, :-1], at[:-1, 1:])
    ends = (at[:, 1:], at[1:], at[1:, 1:], at[1:, :-1])
    first, second = (np.concatenate([part.ravel() for part in parts]) for parts in (starts, ends))
    border = np.concatenate([at[0], at[-1], at[1:-1, 0], at[1:-1, -1]])
    rows = np.concatenate([first, border])
    columns = np.concatenate([second, np.full(len(border), at.size)])
    return first, second, *_compressed(rows, columns, at.size + 1)


def _compressed(rows: NDArray[np.int64], columns: NDArray[np.int64], count: int) -> tuple[NDArray[np.int64], csr_array]:
    order = np.lexsort((columns, rows))
    starts = np.searchsorted(rows[order], np.arange(count + 1))
    return order, csr_array((np.ones(len(rows)), columns[order], starts), shape=(count, count))


def _normal(values: NDArray[np.floating]) -> NDArray[np.float32]:
    top = float(np.percentile(values, 99))
    return np.clip(values / top, 0, 1).astype(np.float32) if top > 0 else np.zeros(values.shape, np.float32)
