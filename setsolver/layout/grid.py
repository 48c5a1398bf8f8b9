"""Rows of equal length under one another, as square as they can be unless the brief gives columns."""

from __future__ import annotations

from collections.abc import Iterator

from setsolver.layout.kind import Block, Kind, Task
from setsolver.layout.wall import rows_on_a_wall

__all__ = ["KIND"]


def _place(task: Task) -> Iterator[Block]:
    yield rows_on_a_wall("grid", task)


KIND = Kind("grid", "rows and columns, as square as it can be or with the columns asked for", _place)
