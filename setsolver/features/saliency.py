"""What stands out in a small picture by its pixels alone: surprising structure, and what the border does not reach."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

__all__ = ["SIDE", "enclosed", "surprising"]

SIDE: Final = 64
"""Width and height of the maps, whatever the picture's aspect."""
_GRID: Final = 48
"""Width and height of the graph on which ways from the border are found."""
_FREE: Final = 1.5
"""Step between neighbours, in L*a*b*, that costs nothing: a sky that darkens towards its zenith is one thing."""
_LEAST: Final = 1e-3
"""What every step costs."""
_WIDTH: Final = _GRID + 2
"""The same with a margin of one on either side."""
_FIRST: Final = _WIDTH + 1
"""Number of the first place inside the margin, counted row by row."""
_APART: Final = (_WIDTH - 1, _WIDTH, _WIDTH + 1)
"""How far the numbers of a place and its three neighbours below are apart."""
_BEYOND: Final = 1e6
"""Colour of the margin, and distance from the border of what has none yet: more than any way costs."""
_ROUNDS: Final = 4
"""Rounds of offers between two looks at whether they still change anything."""


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
    return _normal(cv2.GaussianBlur(wide, (0, 0), 1.0)), float(np.percentile(far, 99))


def _distances(small: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return what the cheapest way from the border to each place costs; float32[48, 48].

    Every place takes the best offer of its neighbours until nothing changes any more (R. Bellman, "On a routing
    problem", Quarterly of Applied Mathematics 16, 1958). On whole grids this takes no longer than Dijkstra's way in
    compiled code, and spares every worker of a scan the loading of a library.

    Parameters
    ----------
    small : float32[48, 48, 3], L*a*b*.
    """
    far = np.full((_WIDTH, _WIDTH), _BEYOND, np.float32)
    inside, flat = far[1:-1, 1:-1], far.ravel()
    inside[0] = inside[-1] = inside[:, 0] = inside[:, -1] = _LEAST
    own = flat[_FIRST:-_FIRST]
    around = sliding_window_view(flat, own.size)
    up, back, down, on = around[:3], around[_FIRST - 1], around[2 * _WIDTH : 2 * _WIDTH + 3], around[_FIRST + 1]
    from_up, from_back, from_down, from_on = _steps(small)
    before, three, one = np.zeros_like(own), np.empty_like(from_up), np.empty_like(own)
    while not np.array_equal(before, own):
        before[:] = own
        for _ in range(_ROUNDS):
            np.minimum(own, np.minimum.reduce(np.add(up, from_up, out=three), out=one), out=own)
            np.minimum(own, np.add(back, from_back, out=one), out=own)
            np.minimum(own, np.minimum.reduce(np.add(down, from_down, out=three), out=one), out=own)
            np.minimum(own, np.add(on, from_on, out=one), out=own)
    return inside


def _steps(small: NDArray[np.float32]) -> tuple[NDArray[np.float32], ...]:
    """Return what steps to each place cost: from the three above it, the one before, the three below, the one after.

    Places count row by row from the first inside to the last, those of the margin too, which no way leads through.
    float32[3, n], [n], [3, n], [n].
    """
    colours = cv2.copyMakeBorder(small, 1, 1, 1, 1, cv2.BORDER_CONSTANT, value=(_BEYOND,) * 3).reshape(-1, 3)
    count = len(colours) - 2 * _FIRST
    cost = {}
    for apart in (1, *_APART):
        change = colours[apart:] - colours[:-apart]
        length = np.sqrt(np.einsum("ij,ij->i", change, change))
        cost[apart] = np.maximum(length - np.float32(_FREE), 0) + np.float32(_LEAST)
    above = np.stack([cost[apart][_FIRST - apart :][:count] for apart in reversed(_APART)])
    below = np.stack([cost[apart][_FIRST:][:count] for apart in _APART])
    return above, cost[1][_FIRST - 1 :][:count], below, cost[1][_FIRST:][:count]


def _normal(values: NDArray[np.floating]) -> NDArray[np.float32]:
    top = float(np.percentile(values, 99))
    return np.clip(values / top, 0, 1).astype(np.float32) if top > 0 else np.zeros(values.shape, np.float32)
