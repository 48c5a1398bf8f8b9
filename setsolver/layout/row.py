"""All prints in one row, their middles at one height."""

from __future__ import annotations

from collections.abc import Iterator

from setsolver.layout.kind import Block, Kind, Task, on_a_wall
from setsolver.layout.wall import hang

__all__ = ["KIND"]


def _place(task: Task) -> Iterator[Block]:
    frames = hang(task.sizes, max(1, len(task.sizes)), task.gap)
    yield on_a_wall(task, frames, (len(frames),) if frames else (), "in one row")


KIND = Kind("row", "side by side, middles at one height", _place)
