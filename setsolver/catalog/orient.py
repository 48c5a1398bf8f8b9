"""Turning stored pixels upright by the Exif orientation (TIFF 6.0, 1992, section 8; CIPA DC-008 tag 274)."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["orientation_of", "turned", "upright"]


def orientation_of(value: Any) -> int:
    """Return 1 to 8; anything else that a file claims (0, text, nothing) counts as 1."""
    return value if isinstance(value, int) and 1 <= value <= 8 else 1


def upright(pixels: NDArray[np.uint8], orientation: int) -> NDArray[np.uint8]:
    """Return pixels [rows, columns, ...] as they should be seen.

    Values 5 to 8 store rows as columns; of the transposed or plain picture, each is then one or two mirrorings.
    """
    if orientation >= 5:
        pixels = pixels.swapaxes(0, 1)
    if orientation in (3, 4, 7, 8):
        pixels = pixels[::-1]
    if orientation in (2, 3, 6, 7):
        pixels = pixels[:, ::-1]
    return np.ascontiguousarray(pixels)


def turned(pixels: NDArray[np.uint8], degrees: int) -> NDArray[np.uint8]:
    """Return pixels [rows, columns, ...] turned clockwise by a multiple of 90 degrees."""
    return np.ascontiguousarray(np.rot90(pixels, -degrees // 90))
