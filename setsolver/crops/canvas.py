"""Frames on the levelled canvas: where boxes and attention go when a frame is turned, and where crops may lie.

The arithmetic is that of ``domain.geometry`` for whole columns; lengths are in heights of the frame unless they are
called fractions.
"""

from __future__ import annotations

import numpy as np

from setsolver.domain.problem import Floats

__all__ = ["at_of", "crop_height", "crops_at", "turn_attention", "turn_boxes", "turn_map"]


def crop_height(aspect: float, level: Floats, frame_aspect: Floats) -> Floats:
    """Return the height of the largest crop of an aspect that each levelled frame covers, a fraction of its own."""
    c, s = np.cos(np.radians(level)), np.abs(np.sin(np.radians(level)))
    fits = np.minimum(frame_aspect / (aspect * c + s), 1.0 / (aspect * s + c))
    return np.minimum(fits, np.minimum(1.0, frame_aspect / aspect))


def crops_at(aspect: float, height: Floats, level: Floats, frame_aspect: Floats, at: Floats) -> Floats:
    """Return crops at places in the room that each levelled frame leaves; always on the frame and on the canvas.

    Parameters
    ----------
    height : [F] of the crop. at : [F, P, 2] (or [1, P, 2]), -1 to 1 from one end of the room to the other in each
        direction.

    Returns
    -------
    Boxes in fractions, [F, P, 4].

    Notes
    -----
    Places are taken along the turned frame's own sides, where its room is a rectangle, then brought back along the
    ray to the centre until the crop lies on the canvas; the region is convex, so that is always possible.
    """
    c, s = np.cos(np.radians(level))[:, None], np.sin(np.radians(level))[:, None]
    h, a = height[:, None], frame_aspect[:, None]
    w = aspect * h
    u = at[..., 0] * np.maximum(0.0, (a - w * c - h * np.abs(s)) / 2)
    v = at[..., 1] * np.maximum(0.0, (1.0 - w * np.abs(s) - h * c) / 2)
    x, y = u * c + v * s, -u * s + v * c
    back = np.minimum(_ray(x, np.maximum(0.0, (a - w) / 2)), _ray(y, np.maximum(0.0, (1.0 - h) / 2)))
    x, y = x * back, y * back
    wide, high = np.broadcast_to(w / a, x.shape), np.broadcast_to(h, x.shape)
    return np.stack([(x - w / 2) / a + 0.5, y - h / 2 + 0.5, wide, high], axis=-1)


def at_of(aspect: float, height: Floats, level: Floats, frame_aspect: Floats, middle: Floats) -> Floats:
    """Return the places, as ``crops_at`` takes them, of crops about points of the levelled frame, or the nearest.

    Parameters
    ----------
    height : [F] of the crop. middle : [F, P, 2], fractions of the frame.
    """
    c, s = np.cos(np.radians(level))[:, None], np.sin(np.radians(level))[:, None]
    h, a = height[:, None], frame_aspect[:, None]
    x, y = (middle[..., 0] - 0.5) * a, middle[..., 1] - 0.5
    u, v = x * c - y * s, x * s + y * c
    rooms = (a - aspect * h * c - h * np.abs(s)) / 2, (1.0 - aspect * h * np.abs(s) - h * c) / 2
    sides = [np.clip(value / np.maximum(room, 1e-12), -1.0, 1.0) for value, room in zip((u, v), rooms, strict=True)]
    return np.stack(sides, axis=-1)


def _ray(value: Floats, room: Floats) -> Floats:
    size = np.abs(value)
    return np.where(size > room, room / np.maximum(size, 1e-300), 1.0)


def turn_boxes(boxes: Floats, level: Floats, frame_aspect: Floats) -> Floats:
    """Return boxes [F, ..., 4] where levelling takes them: centres turn with the content, sizes stay."""
    more = (slice(None),) + (None,) * (boxes.ndim - 2)
    c, s, a = np.cos(np.radians(level))[more], np.sin(np.radians(level))[more], frame_aspect[more]
    x = (boxes[..., 0] + boxes[..., 2] / 2 - 0.5) * a
    y = boxes[..., 1] + boxes[..., 3] / 2 - 0.5
    x, y = x * c + y * s, -x * s + y * c
    left, top = x / a + 0.5 - boxes[..., 2] / 2, y + 0.5 - boxes[..., 3] / 2
    return np.stack([left, top, boxes[..., 2], boxes[..., 3]], axis=-1)


def turn_attention(attention: Floats, level: Floats, frame_aspect: Floats) -> Floats:
    """Return attention grids [F, rows, columns] as they lie on the canvas, each summing to what it summed to.

    Each canvas cell takes the value at its centre, between the four nearest cells of the frame; outside is nothing.
    """
    turned = turn_map(attention, level, frame_aspect)
    rows = np.flatnonzero(level)
    total = turned[rows].sum(axis=(1, 2), keepdims=True)
    turned[rows] *= attention[rows].sum(axis=(1, 2), keepdims=True) / np.maximum(total, 1e-300)
    return turned


def turn_map(grid: Floats, level: Floats, frame_aspect: Floats) -> Floats:
    """Return maps [F, rows, columns] as they lie on the canvas, their values kept: each cell takes its centre's."""
    turned = np.array(grid)
    rows = np.flatnonzero(level)
    if len(rows):
        turned[rows] = _sampled(grid[rows], level[rows], frame_aspect[rows])
    return turned


def _sampled(grid: Floats, level: Floats, frame_aspect: Floats) -> Floats:
    frames, high, wide = grid.shape
    c, s, a = (
        np.asarray(v)[:, None, None] for v in (np.cos(np.radians(level)), np.sin(np.radians(level)), frame_aspect)
    )
    y = ((np.arange(high) + 0.5) / high - 0.5)[None, :, None]
    x = ((np.arange(wide) + 0.5) / wide - 0.5)[None, None, :] * a
    column, row = ((x * c - y * s) / a + 0.5) * wide + 0.5, (x * s + y * c + 0.5) * high + 0.5
    padded = np.pad(grid, ((0, 0), (1, 1), (1, 1)))
    column, row = np.clip(column, 0.0, wide + 0.999), np.clip(row, 0.0, high + 0.999)
    left, top = column.astype(np.int64), row.astype(np.int64)
    fx, fy, f = column - left, row - top, np.arange(frames)[:, None, None]
    upper = padded[f, top, left] * (1 - fx) + padded[f, top, left + 1] * fx
    lower = padded[f, top + 1, left] * (1 - fx) + padded[f, top + 1, left + 1] * fx
    return np.asarray(upper * (1 - fy) + lower * fy)
