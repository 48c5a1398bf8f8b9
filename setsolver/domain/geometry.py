"""Boxes, levelling and the largest crops that fit a levelled frame.

Coordinates: a box is (x, y, w, h) in fractions of the upright frame's width and height, origin top left. Levelling by
``angle`` degrees turns the content counter-clockwise (as seen) about the frame's centre on a canvas of the frame's own
size; a crop box then lies on that canvas, and is valid where all its corners are covered by the turned frame.
"""

from __future__ import annotations

from math import cos, radians, sin
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

__all__ = ["WHOLE", "Box", "cell_cover", "corners_on_frame", "largest_crop", "parse_aspect", "share_inside"]

_PROJECTIONS = 8
"""Alternating projections between the canvas and the turned frame; what is left over is taken back along the ray."""


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


def largest_crop(
    aspect: float, angle: float, frame_aspect: float, centre: tuple[float, float] = (0.5, 0.5), scale: float = 1.0
) -> Box:
    """Return the largest crop of an aspect that the levelled frame covers, drawn as near to ``centre`` as it can be.

    Parameters
    ----------
    aspect : crop width over height. angle : levelling in degrees. frame_aspect : frame width over height.
    centre : where the crop would like its centre, fractions of the canvas.
    scale : linear size against the largest crop, in (0, 1].

    Notes
    -----
    In units of the frame's height the turned frame is the set |x cos - y sin| <= A/2, |x sin + y cos| <= 1/2, A its
    aspect. A w x h crop about (cx, cy) fits where |u| <= A/2 - (w cos + h |sin|)/2 and |v| <= 1/2 - (w |sin| + h cos)/2
    with (u, v) its turned-back centre; the largest crop has one of those at zero. The wished centre is projected onto
    what is left of that rectangle and of the canvas.
    """
    turn = radians(angle)
    c, s = cos(turn), sin(turn)
    height = min(frame_aspect / (aspect * c + abs(s)), 1.0 / (aspect * abs(s) + c)) * scale
    height = min(height, 1.0, frame_aspect / aspect)  # the canvas ends where the frame does
    width = aspect * height
    x, y = (centre[0] - 0.5) * frame_aspect, centre[1] - 0.5
    room_x, room_y = max(0.0, (frame_aspect - width) / 2), max(0.0, (1.0 - height) / 2)
    room_u = max(0.0, (frame_aspect - width * c - height * abs(s)) / 2)
    room_v = max(0.0, (1.0 - width * abs(s) - height * c) / 2)
    for _ in range(_PROJECTIONS):
        x, y = _clamp(x, room_x), _clamp(y, room_y)
        u, v = _clamp(x * c - y * s, room_u), _clamp(x * s + y * c, room_v)
        x, y = u * c + v * s, -u * s + v * c
    back = min(1.0, _ray(x, room_x), _ray(y, room_y))
    x, y = x * back, y * back
    return Box((x - width / 2) / frame_aspect + 0.5, y - height / 2 + 0.5, width / frame_aspect, height)


def _clamp(value: float, room: float) -> float:
    return min(max(value, -room), room)


def _ray(value: float, room: float) -> float:
    """Return the factor that brings a coordinate back inside its room."""
    return room / abs(value) if abs(value) > room else 1.0


def share_inside(weights: NDArray[np.floating], box: Box) -> float:
    """Return the share of a grid's total weight that lies in a box; cells on its border count by their covered area.

    ``weights`` [rows, columns] >= 0 tile the frame evenly. A grid without weight gives the box's own area.
    """
    total = float(weights.sum())
    if total <= 0:
        return box.area
    rows = cell_cover(box.y, box.bottom, weights.shape[0])
    columns = cell_cover(box.x, box.right, weights.shape[1])
    return float(rows @ weights.astype(np.float64) @ columns) / total


def cell_cover(low: float, high: float, cells: int) -> NDArray[np.float64]:
    """Return how far each of ``cells`` even cells of [0, 1] is covered by [low, high]; float64[cells], each 0 to 1."""
    edges = np.arange(cells + 1) / cells
    covered: NDArray[np.float64] = np.clip(np.minimum(high, edges[1:]) - np.maximum(low, edges[:-1]), 0.0, None) * cells
    return covered
