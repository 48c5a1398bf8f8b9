"""Falloff of light towards the corners of a picture, as lenses have it, and what takes it away or gives it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from setsolver.colour.lab import lab_to_linear, linear_to_lab

__all__ = ["falloff_gains", "with_falloff"]


def falloff_gains(
    x: NDArray[np.floating], y: NDArray[np.floating], aspect: float, ev: float
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return factors of light by column and by row; their product is the gain of a pixel.

    The gain is 2^(ev r^2), r the distance from the picture's centre, 1 in its corners: the form in which ``features``
    measures a falloff, so that one added shows there in full.

    Parameters
    ----------
    x, y : places of columns and rows, -1 at one edge of the picture to 1 at the other. aspect : its width over its
    height. ev : at the corners, negative = darker.
    """
    whole = 1 + aspect**2
    across, down = (np.exp2(ev * part).astype(np.float32) for part in ((x * aspect) ** 2 / whole, y**2 / whole))
    return across, down


def with_falloff(lab: NDArray[np.float32], ev: float) -> NDArray[np.float32]:
    """Return L*a*b* (D65) of a whole picture with a falloff added; float32[h, w, 3], the same array where ev is 0."""
    if ev == 0:
        return lab
    height, width = lab.shape[:2]
    x, y = ((np.arange(side) + 0.5) / side * 2 - 1 for side in (width, height))
    across, down = falloff_gains(x, y, width / height, ev)
    return linear_to_lab(np.ascontiguousarray(lab_to_linear(lab) * across[None, :, None] * down[:, None, None]))
