"""Grain given to a picture or taken from it: what is added to L*, at the scale on which a print's grain is measured."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["grain_map"]

_FINE: Final = 1.0
"""Standard deviation, in pixels, of the blur above which detail counts as grain."""
_EDGE: Final = 3.0
"""Detail of so many standard deviations of the grain is an edge, and kept (our choice)."""
_KEPT: Final = 0.1
"""Share of its own grain that a picture keeps at least: without any it looks like wax (our choice)."""

Plane = NDArray[np.float32]


def grain_map(lightness: Plane, own: float, amount: float, seed: int) -> Plane:
    """Return what is added to L* so that the grain changes by an amount; float32[h, w].

    Given: Gaussian noise whose variance makes up what is missing. Taken: a share of all fine detail that is no larger
    than grain is.

    Parameters
    ----------
    lightness : float32[h, w], L* of the small picture. own : its grain, as ``features`` measures it.
    amount : standard deviation in L*, more or, where negative, less. seed : the same seed gives the same grain.
    """
    if amount > 0:
        missing = np.sqrt((own + amount) ** 2 - own**2)
        noise = np.random.default_rng(seed).standard_normal(lightness.shape, np.float32)
        mid = 4 * lightness * (100 - lightness) / 10_000  # none in white and black, which no grain can leave
        given: Plane = noise * np.float32(missing) * np.sqrt(np.clip(mid, 0, 1)).astype(np.float32)
        return given
    detail = lightness - cv2.GaussianBlur(lightness, (0, 0), _FINE)
    share = min(1 - _KEPT, -amount / max(own, 1e-3))
    taken: Plane = -np.float32(share) * detail * np.exp(-((detail / np.float32(_EDGE * max(own, 1e-3))) ** 2))
    return taken.astype(np.float32)
