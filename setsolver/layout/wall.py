"""Prints in centred rows, as on a wall: exact gaps, no overlaps, nothing left of or above the origin."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from math import ceil, sqrt

from setsolver.domain.plan import Placed
from setsolver.layout.kind import Block, Task, on_a_wall

__all__ = ["MOST_IN_A_LINE", "columns_for", "hang", "rows_on_a_wall"]

MOST_IN_A_LINE = 5
"""A story wraps after so many frames unless its brief gives columns (common practice, no source)."""


def columns_for(kind: str, count: int, wished: int | None) -> int:
    """Return how many prints a row takes: the brief's wish, or what suits the kind of layout.

    A row takes all. A grid is as square as it can be. A story wraps into the fewest even lines of at most
    ``MOST_IN_A_LINE``.
    """
    if kind == "row":
        return count
    if wished is not None:
        return min(wished, count)
    if kind == "grid":
        return ceil(sqrt(count))
    return ceil(count / ceil(count / MOST_IN_A_LINE))


def hang(sizes: Sequence[tuple[float, float]], columns: int, gap: float) -> list[Placed]:
    """Place prints in reading order, ``columns`` to a row, every row centred on the widest.

    Parameters
    ----------
    sizes : width and height of each print in centimetres, > 0.
    columns : prints a row, >= 1; the last row may hold fewer.
    gap : centimetres between neighbours in a row, and between the tallest prints of neighbouring rows, >= 0.

    Returns
    -------
    Positions in the order of ``sizes``; prints of a row share the row's middle line.
    """
    rows = [list(sizes[start : start + columns]) for start in range(0, len(sizes), columns)]
    widths = [sum(w for w, _ in row) + gap * (len(row) - 1) for row in rows]
    heights = [max(h for _, h in row) for row in rows]
    tops = [0.0, *accumulate(height + gap for height in heights)]
    widest = max(widths, default=0.0)
    return [
        placed
        for row, width, height, top in zip(rows, widths, heights, tops, strict=False)
        for placed in _row(row, (widest - width) / 2, top + height / 2, gap)
    ]


def _row(sizes: Sequence[tuple[float, float]], left: float, middle: float, gap: float) -> list[Placed]:
    placed = []
    for width, height in sizes:
        placed.append(Placed(x_cm=left, y_cm=middle - height / 2, width_cm=width, height_cm=height))
        left += width + gap
    return placed


def rows_on_a_wall(kind: str, task: Task) -> Block:
    """Return the block of a kind that fills row after row: "grid" or "story"."""
    count = len(task.sizes)
    if not count:
        return on_a_wall(task, [], (), "in one row")
    columns = columns_for(kind, count, task.wish.columns)
    frames = hang(task.sizes, columns, task.gap)
    rows = tuple(min(columns, count - start) for start in range(0, count, columns))
    return on_a_wall(task, frames, rows, "in one row" if len(rows) == 1 else f"in {len(rows)} rows")
