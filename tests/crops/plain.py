"""Crops one at a time, written plainly: a second opinion on what the package does for whole columns."""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.geometry import Box, cell_cover
from setsolver.domain.measures import ToneTiles
from setsolver.domain.tone_tiles import (
    BLACK_PERCENT,
    WHITE_PERCENT,
    cast_of_crop,
    lightness_at,
    lightness_of_crop,
)

__all__ = ["largest_crop", "share_inside", "tone_from_tiles"]

_PROJECTIONS = 8
"""Alternating projections between the canvas and the turned frame; what is left over is taken back along the ray."""


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


def tone_from_tiles(
    tiles: ToneTiles, crop: Box, black_percent: float = BLACK_PERCENT, white_percent: float = WHITE_PERCENT
) -> tuple[float, float, float, float, float]:
    """Return black, mid, white (L*, 0 to 100), cast_a and cast_b of a crop, without its pixels.

    Raises
    ------
    ValueError
        Where the crop covers no part of the frame.
    """
    histogram = lightness_of_crop(tiles, crop)
    if not histogram.sum() > 0:
        raise ValueError(f"the crop {tuple(crop)} covers no part of the frame; boxes are fractions from 0 to 1")
    black, mid, white = lightness_at(histogram, (black_percent, 50.0, white_percent))
    cast_a, cast_b, _ = cast_of_crop(tiles, crop)
    return black, mid, white, cast_a, cast_b
