"""Pictures made smaller by a whole number: means of squares of codes."""

from __future__ import annotations

from typing import Any, Final

import cv2
import numpy as np
from numpy.typing import NDArray

from setsolver.render import filtering

__all__ = ["averaged"]

_STRETCH: Final = 32
"""Means of a row that are summed up at a time: few enough to stay in the processor's nearest cache."""


def averaged(codes: NDArray[Any], by: int, corner: tuple[int, int], size: tuple[int, int]) -> NDArray[Any]:
    """Return means of squares of ``by`` pixels, rounded to the nearest code; as codes, [rows, columns, 3].

    Parameters
    ----------
    codes : uint8 or uint16[h, w, 3], C-contiguous. corner : (x, y) where the first square begins.
    size : columns and rows of the result.
    """
    (x, y), (columns, rows) = corner, size
    if by <= 2 or not columns or not rows:  # OpenCV has a loop of its own for two
        part = codes[y : y + rows * by, x : x + columns * by]
        if by == 1 or not part.size:
            return part.copy()
        return np.asarray(cv2.resize(part, size, interpolation=cv2.INTER_AREA))
    result = np.empty((rows, columns, 3), codes.dtype)
    filtering.averaged(codes, y, x, by, np.empty(3 * by * _STRETCH, np.uint32), result)
    return result
