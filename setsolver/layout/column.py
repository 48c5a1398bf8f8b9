"""All prints under one another, their middles on one upright line."""

from __future__ import annotations

from collections.abc import Iterator

from setsolver.layout.kind import Block, Kind, Task, on_a_wall
from setsolver.layout.wall import hang

__all__ = ["KIND"]


def _place(task: Task) -> Iterator[Block]:
    frames = hang(task.sizes, 1, task.gap)
    yield on_a_wall(task, frames, (1,) * len(frames), "in one column")


KIND = Kind("column", "under one another, middles on one upright line", _place)
