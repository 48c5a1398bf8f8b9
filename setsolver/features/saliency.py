"""What stands out in a small picture by its pixels alone: surprising structure, and what the border does not reach."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra

from setsolver.features.ranks import percentile

__all__ = ["SIDE", "enclosed", "surprising"]

SIDE: Final = 64
"""Width and height of the maps, whatever the picture's aspect."""
_GRID: Final = 48
"""Width and height of the graph on which ways from the border are found."""
_FREE: Final = 1.5
"""Step between neighbours, in L*a*b*, that costs nothing: a sky that darkens towards its zenith is one thing."""
_LEAST: Final = 1e-3
"""What every step costs."""
_AT: Final = np.arange(_GRID * _GRID, dtype=np.int32).reshape(_GRID, _GRID)
"""Number of each place, row by row."""
_BORDER: Final = np.concatenate([_AT[0], _AT[-1], _AT[1:-1, 0], _AT[1:-1, -1]])
_FROM: Final = np.concatenate([ends.ravel() for ends in (_AT[:, :-1], _AT[:-1], _AT[:-1, :-1], _AT[:-1, 1:])])
_TO: Final = np.concatenate([ends.ravel() for ends in (_AT[:, 1:], _AT[1:], _AT[1:, 1:], _AT[1:, :-1])])
"""Both ends of every step between neighbours: along rows, along columns, and along either diagonal."""
_BOTH_WAYS: Final = np.lexsort((np.concatenate([_TO, _FROM]), np.concatenate([_FROM, _TO]))).astype(np.int32)
"""Steps there and, numbered on, back, by where they begin and then by where they end."""
_COLUMNS: Final = np.concatenate([_TO, _FROM])[_BOTH_WAYS]
_ROWS: Final = np.searchsorted(np.concatenate([_FROM, _TO])[_BOTH_WAYS], np.arange(_AT.size + 1)).astype(np.int32)
"""The graph of these steps in rows, as SciPy has it; only what they cost differs from picture to picture."""


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
    far = _distances(small)
    wide = cv2.resize(far, (SIDE, SIDE), interpolation=cv2.INTER_LINEAR)
    return _normal(cv2.GaussianBlur(wide, (0, 0), 1.0)), float(percentile(far, 99))


def _distances(small: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return what the cheapest way from outside onto each place costs, in L*a*b*; float32[48, 48].

    A step costs how far the colours of two of eight neighbours are apart, less what is free, and never nothing; the
    first step, onto the border, costs the least.

    Parameters
    ----------
    small : float32[48, 48, 3], L*a*b*.
    """
    steps = [
        small[:, :-1] - small[:, 1:],
        small[:-1] - small[1:],
        small[:-1, :-1] - small[1:, 1:],
        small[:-1, 1:] - small[1:, :-1],
    ]
    apart = np.concatenate([step.reshape(-1, 3) for step in steps])
    change = np.sqrt(np.einsum("nc,nc->n", apart, apart))
    costs = np.maximum(change - np.float32(_FREE), 0).astype(np.float64) + _LEAST
    graph = csr_array((np.concatenate([costs, costs])[_BOTH_WAYS], _COLUMNS, _ROWS), shape=(_AT.size, _AT.size))
    far = dijkstra(graph, indices=_BORDER, min_only=True) + _LEAST
    return np.asarray(far, np.float32).reshape(_GRID, _GRID)


def _normal(values: NDArray[np.floating]) -> NDArray[np.float32]:
    top = float(percentile(values, 99))
    return np.clip(values / top, 0, 1).astype(np.float32) if top > 0 else np.zeros(values.shape, np.float32)
