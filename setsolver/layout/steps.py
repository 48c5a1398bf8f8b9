"""Prints that climb with a stair: their middles lie on a line with its rise and run."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from setsolver.domain.plan import Placed
from setsolver.errors import BadBrief
from setsolver.layout.kind import Block, Kind, Task, on_a_wall

__all__ = ["KIND"]


def _place(task: Task) -> Iterator[Block]:
    if task.wall is None or task.wall.stair is None:
        raise BadBrief(
            'layout.kind = "steps" follows a stair, and the brief names none; '
            "give its rise and run in [wall], such as stair = { rise = 17.5, run = 28 }",
            ("layout", "kind"),
        )
    stair = task.wall.stair
    frames = _climbing(task, stair.slope)
    words = f"in steps, {stair.rise_cm:g} cm up for every {stair.run_cm:g} cm along"
    yield on_a_wall(task, frames, (1,) * len(frames), words)._replace(follows=stair.slope)


def _climbing(task: Task, slope: float) -> list[Placed]:
    """Return frames a gap apart from left to right, each middle on the line; the highest top edge lies at 0."""
    if not task.sizes:
        return []
    lefts, middles = [0.0], [0.0]
    for (before, _), (here, _) in pairwise(task.sizes):
        lefts.append(lefts[-1] + before + task.gap)
        middles.append(middles[-1] - slope * ((before + here) / 2 + task.gap))
    tops = [middle - height / 2 for middle, (_, height) in zip(middles, task.sizes, strict=True)]
    highest = min(tops)
    return [
        Placed(x_cm=left, y_cm=top - highest, width_cm=width, height_cm=height)
        for left, top, (width, height) in zip(lefts, tops, task.sizes, strict=True)
    ]


KIND = Kind("steps", "climbing with the stair that [wall] names", _place)
