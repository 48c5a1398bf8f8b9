"""Shrinking pictures, shared by what reads files and what measures pixels."""

from __future__ import annotations

from math import ceil, log2

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["LEAST_SIDE", "fitted", "shrunk"]

LEAST_SIDE = 16
"""Shortest side, in pixels, of a small picture that can be measured."""


def fitted(size: tuple[int, int], long_side: int) -> tuple[int, int]:
    """Return width and height brought to a long side of at most ``long_side``, each at least 1; never enlarged."""
    scale = min(1.0, long_side / max(size))
    return max(1, round(size[0] * scale)), max(1, round(size[1] * scale))


def shrunk(pixels: NDArray[np.uint8], long_side: int) -> NDArray[np.uint8]:
    """Return pixels [h, w, ...] shrunk so that the long side is at most ``long_side``; never enlarged.

    In steps of 2 to 1 or less: there bilinear interpolation weighs about the pixels that an output pixel covers, as
    area averaging does, in a fifth of its time.
    """
    full = pixels.shape[1], pixels.shape[0]
    width, height = fitted(full, long_side)
    for step in reversed(range(ceil(log2(max(full) / max(width, height))))):
        part = width << step, height << step
        pixels = np.asarray(cv2.resize(pixels, part, interpolation=cv2.INTER_LINEAR), dtype=np.uint8)
    return pixels
