"""Two facing pages, the first half of the prints on the left one."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from setsolver.errors import BadBrief
from setsolver.layout.kind import Block, Kind, Task
from setsolver.layout.spread import Sheet, facing_pages

__all__ = ["KIND"]


def _place(task: Task) -> Iterator[Block]:
    if task.wall is not None:
        raise BadBrief(
            'layout.kind = "pair" stands on two facing pages, not on a wall; take [wall] out of the brief',
            ("layout", "kind"),
        )
    frames, pages, sheet = facing_pages(task.sizes, task.gap)
    rows = tuple(len(list(on)) for _, on in groupby(frames, key=lambda p: p.x_cm < sheet.width_cm))
    prints = f"{len(frames)} print" + ("" if len(frames) == 1 else "s")
    says = f"{prints} on two facing pages, {_named(sheet)}"
    yield Block(tuple(frames), rows, says, tuple(pages))


def _named(sheet: Sheet) -> str:
    size = f"{sheet.width_cm:.1f} by {sheet.height_cm:.1f} cm each"
    return f"{sheet.name}, {size}" if sheet.name.startswith("A") else f"{size}, {sheet.name}"


KIND = Kind("pair", "two facing pages", _place)
