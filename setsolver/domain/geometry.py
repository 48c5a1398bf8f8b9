"""Boxes on frames, levelled or not.

Coordinates: a box is (x, y, w, h) in fractions of the upright frame's width and height, origin top left. Levelling by
``angle`` degrees turns the content counter-clockwise (as seen) about the frame's centre on a canvas of the frame's own
size; a crop box then lies on that canvas, and is valid where all its corners are covered by the turned frame.
"""

from __future__ import annotations

from math import cos, radians, sin
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = ["WHOLE", "Box", "cell_cover", "corners_on_frame", "parse_aspect"]


class Box(NamedTuple):
    """A rectangle in fractions of width and height; ``right`` and ``bottom`` are exclusive."""

    x: float
    y: float
    w: float
    h: float

    @property
    def right(self) -> float:
        """Right edge as a fraction of the width."""
        return self.x + self.w

    @property
    def bottom(self) -> float:
        """Bottom edge as a fraction of the height."""
        return self.y + self.h

    @property
    def centre(self) -> tuple[float, float]:
        """Centre point."""
        return self.x + self.w / 2, self.y + self.h / 2

    @property
    def area(self) -> float:
        """Area as a share of the frame."""
        return self.w * self.h

    def overlap(self, other: Box) -> float:
        """Return the area shared with another box, as a share of the frame."""
        width = min(self.right, other.right) - max(self.x, other.x)
        height = min(self.bottom, other.bottom) - max(self.y, other.y)
        return max(0.0, width) * max(0.0, height)


WHOLE = Box(0.0, 0.0, 1.0, 1.0)


def parse_aspect(text: str) -> float:
    """Return width over height of an aspect such as "3:2", "1:1" or "4x5".

    Raises
    ------
    ValueError
        Where the text is not two positive numbers.
    """
    parts = text.replace("x", ":").split(":")
    if len(parts) != 2:
        raise ValueError(f"{text!r} is not an aspect; write width:height, such as 3:2")
    width, height = (float(part) for part in parts)
    if not (width > 0 and height > 0 and width / height < 100 and height / width < 100):
        raise ValueError(f"{text!r} is not an aspect; both numbers must be positive")
    return width / height


def corners_on_frame(box: Box, angle: float, frame_aspect: float) -> NDArray[np.float64]:
    """Return the crop's four corners as fractions of the original frame, before levelling; float64[4, 2].

    ``frame_aspect`` is frame width over height. Content turned counter-clockwise by ``angle`` on the canvas is
    found on the original by turning the canvas point clockwise by the same angle (y points down).
    """
    x = np.array([box.x, box.right, box.right, box.x]) - 0.5
    y = np.array([box.y, box.y, box.bottom, box.bottom]) - 0.5
    x = x * frame_aspect
    turn = radians(angle)
    source_x = x * cos(turn) - y * sin(turn)
    source_y = x * sin(turn) + y * cos(turn)
    return np.stack([source_x / frame_aspect + 0.5, source_y + 0.5], axis=1)


def cell_cover(low: float, high: float, cells: int) -> NDArray[np.float64]:
    """Return how far each of ``cells`` even cells of [0, 1] is covered by [low, high]; float64[cells], each 0 to 1."""
    edges = np.arange(cells + 1) / cells
    covered: NDArray[np.float64] = np.clip(np.minimum(high, edges[1:]) - np.maximum(low, edges[:-1]), 0.0, None) * cells
    return covered
