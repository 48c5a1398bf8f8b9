"""Shares of attention inside many boxes at once, from running sums."""

from __future__ import annotations

import numpy as np

from setsolver.domain.problem import Floats

__all__ = ["running_sums", "shares"]


def running_sums(grids: Floats) -> Floats:
    """Return running sums of grids [F, rows, columns] with a zero row and column first: [F, rows + 1, columns + 1]."""
    return np.pad(grids.cumsum(axis=1).cumsum(axis=2), ((0, 0), (1, 0), (1, 0)))


def shares(sums: Floats, boxes: Floats) -> Floats:
    """Return the weight of each frame's grid inside its boxes [F, P, 4]; cells on a border count by covered area.

    A running sum between grid lines is linear in each direction, so interpolating it is exact.
    """
    x0, y0 = boxes[..., 0], boxes[..., 1]
    x1, y1 = x0 + boxes[..., 2], y0 + boxes[..., 3]
    return _at(sums, y1, x1) - _at(sums, y0, x1) - _at(sums, y1, x0) + _at(sums, y0, x0)


def _at(sums: Floats, y: Floats, x: Floats) -> Floats:
    rows, columns = sums.shape[1] - 1, sums.shape[2] - 1
    row, column = np.clip(y, 0.0, 1.0) * rows, np.clip(x, 0.0, 1.0) * columns
    top = np.minimum(row.astype(np.int64), rows - 1)
    left = np.minimum(column.astype(np.int64), columns - 1)
    fy, fx = row - top, column - left
    flat = sums.reshape(len(sums), -1)
    first = np.arange(len(sums))[:, None] * flat.shape[1] + top * (columns + 1) + left
    values = flat.reshape(-1)
    upper = values[first] * (1 - fx) + values[first + 1] * fx
    below = first + columns + 1
    lower = values[below] * (1 - fx) + values[below + 1] * fx
    return np.asarray(upper * (1 - fy) + lower * fy)
