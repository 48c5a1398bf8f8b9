"""How evenly frames of mixed sizes hang: mirrored about the middle, equal gaps, and all held together by such gaps."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.csgraph import connected_components

__all__ = ["linked", "loose_share", "one_sided_share"]

_EPS = 1e-4

Floats = NDArray[np.float64]


def one_sided_share(frames: Floats) -> float:
    """Return the share of the area that has no mirror image about the upright middle line, 0 to 1.

    frames : float64[n, 4], left, top, width and height.
    """
    width = float((frames[:, 0] + frames[:, 2]).max())
    mirrored = frames.copy()
    mirrored[:, 0] = width - frames[:, 0] - frames[:, 2]
    same = (np.abs(frames[:, None, :] - mirrored[None, :, :]) < _EPS).all(axis=2)
    near = same.max(axis=1)
    area = frames[:, 2] * frames[:, 3]
    return float(area[~near].sum() / area.sum())


def loose_share(frames: Floats, gap: float) -> float:
    """Return the share of nearest neighbours, looking left, right, up and down, that are not exactly a gap away."""
    away = np.concatenate([_away(frames, axis).min(axis=side) for axis in (0, 1) for side in (0, 1)])
    seen = away[np.isfinite(away)]
    return float((seen > gap + _EPS).mean()) if len(seen) else 0.0


def linked(frames: Floats, gap: float) -> bool:
    """True where one can walk from every frame to every other over neighbours exactly a gap apart."""
    exact = sum(np.abs(_away(frames, axis) - gap) < _EPS for axis in (0, 1))
    return bool(connected_components(exact, directed=False, return_labels=False) == 1)


def _away(frames: Floats, axis: int) -> Floats:
    """Return how far frame j begins behind the end of frame i along an axis, inf where j does not face i; [n, n]."""
    low, size = frames[:, axis], frames[:, axis + 2]
    other, tall = frames[:, 1 - axis], frames[:, 3 - axis]
    shared = np.minimum((other + tall)[:, None], (other + tall)[None, :]) - np.maximum(other[:, None], other[None, :])
    away = low[None, :] - (low + size)[:, None]
    result: Floats = np.where((shared > _EPS) & (away > -_EPS), away, np.inf)
    return result
