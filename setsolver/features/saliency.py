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
"""What every step costs."""
_NEIGHBOURS: Final = (
    (np.s_[:, :-1], np.s_[:, 1:]),
    (np.s_[:-1], np.s_[1:]),
    (np.s_[:-1, :-1], np.s_[1:, 1:]),
    (np.s_[:-1, 1:], np.s_[1:, :-1]),
)
"""Both ends of the steps between neighbours, as parts of a grid: by row, by column, and by either diagonal."""


def surprising(lightness: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return the spectral residual (Hou, Zhang, CVPR 2007), float32[64, 64], 0 to 1.

    Parameters
    ----------
    lightness : float32[64, 64], L*.
    """
    spectrum = np.fft.fft2(lightness.astype(np.float64))
    strength = np.abs(spectrum)
    logarithm = np.log(strength + 1e-6)
    surprise = np.exp(logarithm - cv2.blur(logarithm, (3, 3), borderType=cv2.BORDER_REFLECT))
    phase = np.divide(spectrum, strength, out=np.ones_like(spectrum), where=strength > 0)
    back = np.abs(np.fft.ifft2(surprise * phase)) ** 2
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
    small = cv2.resize(cv2.GaussianBlur(lab, (0, 0), 0.9), (_GRID, _GRID), interpolation=cv2.INTER_AREA)
    far = dijkstra(_ways(_steps(small)), indices=_GRID * _GRID)[:-1].reshape(_GRID, _GRID)
    wide = cv2.resize(far.astype(np.float32), (SIDE, SIDE), interpolation=cv2.INTER_LINEAR)
    return _normal(cv2.GaussianBlur(wide, (0, 0), 1.0)), float(np.percentile(far, 99))


def _steps(small: NDArray[np.float32]) -> NDArray[np.float64]:
    """Return what every step between neighbours costs, in the order of ``_NEIGHBOURS``; last, steps from the border."""
    apart = [small[first] - small[second] for first, second in _NEIGHBOURS]
    length = np.sqrt(np.concatenate([np.einsum("ijk,ijk->ij", part, part).ravel() for part in apart]))
    return np.append(np.maximum(length - np.float32(_FREE), 0), np.zeros(4 * _GRID - 4)) + _LEAST


def _ways(costs: NDArray[np.float64]) -> csr_array:
    """Return the graph of steps, each there and back; its last node is a short step from every place of the border."""
    order, columns, starts = _shape()
    return csr_array((costs[order], columns, starts), shape=(len(starts) - 1,) * 2)


@cache
def _shape() -> tuple[NDArray[np.int64], NDArray[np.int32], NDArray[np.int32]]:
    """Return which step each entry of the graph's compressed rows is, its column, and where each row begins."""
    at = np.arange(_GRID * _GRID).reshape(_GRID, _GRID)
    border = np.concatenate([at[0], at[-1], at[1:-1, 0], at[1:-1, -1]])
    first, second = (np.concatenate([at[ends[k]].ravel() for ends in _NEIGHBOURS]) for k in (0, 1))
    first, second = np.append(first, border), np.append(second, np.full(len(border), at.size))
    rows, columns = np.append(first, second), np.append(second, first)
    order = np.lexsort((columns, rows))
    starts = np.searchsorted(rows[order], np.arange(at.size + 2))
    return order % len(first), columns[order].astype(np.int32), starts.astype(np.int32)


def _normal(values: NDArray[np.floating]) -> NDArray[np.float32]:
    top = float(np.percentile(values, 99))
    return np.clip(values / top, 0, 1).astype(np.float32) if top > 0 else np.zeros(values.shape, np.float32)
