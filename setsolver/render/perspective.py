"""A flat wall on a photograph: from centimetres to pixels, and how high a marked rectangle of known width is.

Pixels are counted from the photograph's upper left corner, its own upper left pixel reaching from 0 to 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["height_of", "onto_photograph"]

Point = tuple[float, float]
Matrix = NDArray[np.float64]
_PARALLEL: Final = 1e-6
"""Below it, edges do not run together and only their lengths tell."""


def onto_photograph(corners: Sequence[Point], left: float, bottom: float, width: float, height: float) -> Matrix:
    """Return the homography from centimetres on a wall (x to the right, y up) to pixels; float64[3, 3].

    Parameters
    ----------
    corners : of a rectangle of the wall: upper left, upper right, lower right, lower left.
    left, bottom : of that rectangle's lower left corner on the wall. width, height : of the rectangle.
    """
    right, top = left + width, bottom + height
    wall = np.array([(left, top), (right, top), (right, bottom), (left, bottom)], np.float32)
    found: Matrix = cv2.getPerspectiveTransform(wall, np.asarray(corners, np.float32))
    return found


def height_of(corners: Sequence[Point], width: float, size: tuple[int, int]) -> float | None:
    """Return the height of a marked rectangle by the way its edges run together; None where they do not tell.

    Parameters
    ----------
    corners : as in ``onto_photograph``. width : of the rectangle. size : width and height of the photograph.

    Notes
    -----
    Zhang, He, "Whiteboard scanning and image enhancement", Digital Signal Processing 17(2), 2007, section 3 (equations
    from memory): for square pixels about a principal point in the middle of the picture. A photograph that was itself
    cropped off its middle is told a wrong height.
    """
    middle = np.array([size[0] / 2, size[1] / 2])
    scale = max(size) / 2
    upper_left, upper_right, lower_right, lower_left = (
        np.array([*((np.asarray(corner) - middle) / scale), 1.0]) for corner in corners
    )
    diagonal = np.cross(upper_left, lower_right)
    k2 = diagonal @ lower_left / (np.cross(upper_right, lower_right) @ lower_left)
    k3 = diagonal @ upper_right / (np.cross(lower_left, lower_right) @ upper_right)
    across, down = k2 * upper_right - upper_left, k3 * lower_left - upper_left
    if abs(across[2]) < _PARALLEL and abs(down[2]) < _PARALLEL:  # seen straight on
        return float(width * np.hypot(*down[:2]) / np.hypot(*across[:2]))
    if abs(across[2]) < _PARALLEL or abs(down[2]) < _PARALLEL:
        return None
    focal = -(across[0] * down[0] + across[1] * down[1]) / (across[2] * down[2])
    if not focal > 0:
        return None
    lengths = [np.sqrt((part[0] ** 2 + part[1] ** 2) / focal + part[2] ** 2) for part in (across, down)]
    return float(width * lengths[1] / lengths[0])
