"""A row that wraps, in order of time."""

from __future__ import annotations

from collections.abc import Iterator

from setsolver.layout.kind import Block, Kind, Task
from setsolver.layout.wall import rows_on_a_wall

__all__ = ["KIND"]


def _place(task: Task) -> Iterator[Block]:
    yield rows_on_a_wall("story", task)


KIND = Kind("story", "a row that wraps, in order of time", _place, by_time=True)
