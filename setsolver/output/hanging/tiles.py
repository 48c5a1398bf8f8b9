"""How a template at full size is cut into sheets of paper: pure geometry, in millimetres."""

from __future__ import annotations

from math import ceil
from typing import NamedTuple

from setsolver.layout import Hung
from setsolver.output.hanging.papers import Paper

__all__ = ["OVERLAP", "STRIP", "Field", "Template", "Tile", "field_of", "templates", "tiles"]

OVERLAP = 10.0
"""Shared by neighbouring sheets, so that they can be laid over one another."""
MARGIN, HEAD, FOOT = 12.0, 20.0, 46.0
"""Kept free of the drawing: at the sides for printers that cannot print there, above for the name, below for the bar
and the cautions."""
STRIP = 100.0
"""Below the hooks, where the whole frame would take too many sheets."""
_MOST_TILES = 9


class Field(NamedTuple):
    """Where on a sheet the template is drawn, from its lower left corner."""

    x: float
    y: float
    width: float
    height: float


class Template(NamedTuple):
    """Frames of one size. numbers : of the prints. width, height : of the part that is drawn, from the top edge.

    hooks : from the left edge and down from the top edge. whole : False where the lower part of the frame is left out.
    """

    numbers: tuple[int, ...]
    width: float
    height: float
    hooks: tuple[tuple[float, float], ...]
    border: float
    frame_height: float
    whole: bool


class Tile(NamedTuple):
    """One sheet. row, column : from 0, from the top left. x, y : of its field's top left on the template, down."""

    row: int
    column: int
    x: float
    y: float


def field_of(paper: Paper) -> Field:
    """Return where the template lies on a sheet of paper."""
    return Field(MARGIN, FOOT, paper.width - 2 * MARGIN, paper.height - HEAD - FOOT)


def templates(frames: tuple[Hung, ...], border_cm: float, paper: Paper) -> tuple[Template, ...]:
    """Return one template for each size of frame, largest first; large ones end ``STRIP`` below their hooks."""
    sizes: dict[tuple[float, float], list[Hung]] = {}
    for frame in frames:
        sizes.setdefault((round(frame.width_cm, 4), round(frame.height_cm, 4)), []).append(frame)
    order = sorted(sizes, key=lambda size: (-size[0] * size[1], size))
    return tuple(_template(sizes[size], border_cm * 10, paper) for size in order)


def _template(frames: list[Hung], border: float, paper: Paper) -> Template:
    first = frames[0]
    width, height = first.width_cm * 10, first.height_cm * 10
    hooks = tuple((10 * (hook.left_cm - first.left_cm), 10 * (first.top_cm - hook.floor_cm)) for hook in first.hooks)
    shown = height
    columns, rows = _counts(width, height, field_of(paper))
    if columns * rows > _MOST_TILES:
        shown = min(height, max(down for _, down in hooks) + STRIP)
    numbers = tuple(frame.number for frame in frames)
    return Template(numbers, width, shown, hooks, border, height, shown == height)


def _counts(width: float, height: float, field: Field) -> tuple[int, int]:
    return _sheets(width, field.width), _sheets(height, field.height)


def _sheets(length: float, field: float) -> int:
    return max(1, ceil((length - OVERLAP) / (field - OVERLAP) - 1e-9))


def tiles(template: Template, paper: Paper) -> tuple[Tile, ...]:
    """Return the sheets of a template, row by row from the top left; neighbours share ``OVERLAP``."""
    field = field_of(paper)
    columns, rows = _counts(template.width, template.height, field)
    return tuple(
        Tile(row, column, column * (field.width - OVERLAP), row * (field.height - OVERLAP))
        for row in range(rows)
        for column in range(columns)
    )
