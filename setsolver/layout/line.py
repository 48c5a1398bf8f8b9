"""Prints side by side whose tops, middles or lower edges stand at one height."""

from __future__ import annotations

from collections.abc import Iterator

from setsolver.domain.plan import Placed
from setsolver.layout.kind import Block, Kind, Task, on_a_wall

__all__ = ["KIND"]

_SHARES = {"top": 0.0, "middle": 0.5, "bottom": 1.0}
_WORDS = {"top": "tops", "middle": "middles", "bottom": "lower edges"}


def _place(task: Task) -> Iterator[Block]:
    share = _SHARES[task.wish.align]
    tallest = max((height for _, height in task.sizes), default=0.0)
    frames, left = [], 0.0
    for width, height in task.sizes:
        frames.append(Placed(x_cm=left, y_cm=(tallest - height) * share, width_cm=width, height_cm=height))
        left += width + task.gap
    words = f"in a line, {_WORDS[task.wish.align]} at one height"
    yield on_a_wall(task, frames, (len(frames),) if frames else (), words)


KIND = Kind("line", "side by side, tops, middles or lower edges at one height (align)", _place)
