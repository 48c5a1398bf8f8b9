"""Where a block of frames hangs on its wall: as near the middle and the centre line as what must stay clear allows."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf
from typing import Any, NamedTuple

import numpy as np

from setsolver.domain.plan import Placed, Wall
from setsolver.layout.kind import Block, span

__all__ = ["Settled", "settle"]

_EPS = 1e-9
_SAME = 1e-6
"""Square centimetres up to which moves cost the same."""
_UPRIGHT = 2.0
"""A centimetre off the centre line counts as much as two off the middle of the wall (our choice)."""

Point = tuple[float, float]
Room = tuple[float, float, float, float]
"""Left, right, top and bottom, open: of moves that would bring a frame over something that must stay clear."""


class Settled(NamedTuple):
    """Left edge and height above the floor of a block's top; effort : how far it had to move from where it wished."""

    left_cm: float
    top_cm: float
    effort: float


def settle(block: Block, wall: Wall) -> Settled | None:
    """Return where a block hangs, or None where it fits nowhere.

    The block keeps its shape. Wished is the middle of the wall with the block's middle on the centre line; for a stair
    every frame's middle lies ``centre_cm`` above the line over the noses of its steps. Where frames would leave the
    wall or cover what must stay clear, the nearest free place is found exactly: in the plane of moves every frame and
    keepout forbid a rectangle, so the best move is zero, or at an edge of such a rectangle, in each direction.
    """
    width, height = span(block.frames)
    left = (wall.width_cm - width) / 2
    if block.follows is not None:
        return _along(block, wall, left)
    top = wall.height_cm - wall.centre_cm - height / 2
    rooms = _rooms(block.frames, wall, left, top)
    limits = (-left, wall.width_cm - width - left, -top, wall.height_cm - height - top)
    move = _nearest(rooms, limits)
    if move is None:
        return None
    return Settled(left + move[0], wall.height_cm - top - move[1], _effort(*move))


def _rooms(frames: Sequence[Placed], wall: Wall, left: float, top: float) -> list[Room]:
    """Return the forbidden moves of a block whose top left lies at (left, top), both from the wall's top left."""
    rooms = []
    for keep in wall.clear:
        m = wall.margin_cm
        over = wall.height_cm - keep.bottom_cm - keep.height_cm
        for f in frames:
            x, y = left + f.x_cm, top + f.y_cm
            rooms.append(
                (
                    keep.left_cm - m - f.width_cm - x,
                    keep.left_cm + keep.width_cm + m - x,
                    over - m - f.height_cm - y,
                    over + keep.height_cm + m - y,
                )
            )
    return rooms


def _nearest(rooms: Sequence[Room], limits: Room) -> Point | None:
    """Return the cheapest allowed move, right and down in centimetres.

    Of moves that cost the same the one least to the side, so that a mirrored wall gives a mirrored place.
    """
    if limits[0] > limits[1] + _EPS or limits[2] > limits[3] + _EPS:
        return None
    across = _stops([edge for room in rooms for edge in room[:2]], *limits[:2])
    down = _stops([edge for room in rooms for edge in room[2:]], *limits[2:])
    covered = np.zeros((len(across) + 1, len(down) + 1), dtype=np.int32)
    for left, right, top, bottom in rooms:  # a two-dimensional difference: +1 where a forbidden rectangle begins
        i, j = np.searchsorted(across, left + _EPS, "right"), np.searchsorted(across, right - _EPS, "left")
        k, n = np.searchsorted(down, top + _EPS, "right"), np.searchsorted(down, bottom - _EPS, "left")
        if i < j and k < n:
            covered[i, k] += 1
            covered[j, n] += 1
            covered[i, n] -= 1
            covered[j, k] -= 1
    free = covered.cumsum(0).cumsum(1)[:-1, :-1] == 0
    if not free.any():
        return None
    cost = np.where(free, _effort(across[:, None], down[None, :]), inf)
    equal = [(float(across[i]), float(down[k])) for i, k in np.argwhere(cost <= cost.min() + _SAME)]
    return min(equal, key=lambda move: (round(abs(move[0]), 6), round(abs(move[1]), 6), move))


def _effort(across: Any, down: Any) -> Any:
    """Return the cost of a move in square centimetres, of numbers or arrays."""
    return across**2 + (_UPRIGHT * down) ** 2


def _stops(edges: Sequence[float], low: float, high: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Return the moves worth looking at in one direction, ascending: none at all, every edge, and the limits."""
    wished = np.array([0.0, low, high, *edges])
    return np.unique(np.clip(wished, low, max(low, high)))


def _along(block: Block, wall: Wall, left: float) -> Settled | None:
    """Return where a block that climbs hangs; it may only move along the stair."""
    stair, slope = wall.stair, block.follows
    if stair is None or slope is None or not block.frames:
        return None
    first = block.frames[0]
    middle = wall.centre_cm + slope * (left + first.x_cm + first.width_cm / 2 - stair.foot_cm)
    top = wall.height_cm - middle - first.y_cm - first.height_cm / 2
    width, height = span(block.frames)
    low, high = -left, wall.width_cm - width - left
    for least, most in [_between(wall.height_cm - height - top, -top, -slope)]:
        low, high = max(low, least), min(high, most)
    bad = [_between_open(room, -slope) for room in _rooms(block.frames, wall, left, top)]
    stops = [t for t in (0.0, low, high, *(end for ends in bad for end in ends)) if low - _EPS <= t <= high + _EPS]
    fine = [t for t in stops if not any(a + _EPS < t < b - _EPS for a, b in bad)]
    if not fine:
        return None
    t = min(fine, key=lambda move: (abs(move), move))
    return Settled(left + t, wall.height_cm - top + slope * t, _effort(t, 0.0))


def _between(high: float, low: float, slope: float) -> Point:
    """Return the moves t for which low <= slope t <= high."""
    ends = sorted((low / slope, high / slope)) if low <= high else (inf, -inf)
    return ends[0], ends[1]


def _between_open(room: Room, slope: float) -> Point:
    """Return the moves t along a slope that end in a forbidden rectangle; an empty range where none does."""
    left, right, top, bottom = room
    ends = sorted((top / slope, bottom / slope))
    low, high = max(left, ends[0]), min(right, ends[1])
    return (low, high) if low < high else (inf, inf)
