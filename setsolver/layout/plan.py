"""What a layout is, in words and overall numbers: its size, rows, pages, and what to check before hanging it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import NamedTuple

from setsolver.domain.brief import Brief
from setsolver.domain.outcome import Placed
from setsolver.layout.spread import Sheet, facing_pages

__all__ = ["CAUTIONS", "Plan", "describe"]

CAUTIONS = (
    (
        "This plan gives sizes and places only. Before hanging, check the weight of each framed print, the type of "
        "wall and the rating of the fasteners for both; follow local building codes, and have work that they reserve "
        "for licensed trades done by one."
    ),
    "Large framed pictures do not belong over beds, chairs or couches (FEMA how-to sheet 2015, April 2008).",
    (
        "Sizes are those of the prints; mounts and frames add to them. No standard fixes a hanging height: the middle "
        "of a set is commonly hung 145 to 152 cm above the floor, lower where short or seated viewers matter."
    ),
)
"""For walls. None of it says that a plan is safe."""


class Plan(NamedTuple):
    """A layout as a whole, in centimetres.

    rows : prints in each row, from the top; for a spread, on each page. pages : the facing pages, empty for a wall.
    says : the layout in a sentence. cautions : what to check before hanging, empty for pages.
    """

    kind: str
    width_cm: float
    height_cm: float
    gap_cm: float
    rows: tuple[int, ...]
    pages: tuple[Placed, ...]
    says: str
    cautions: tuple[str, ...]


def describe(brief: Brief, placed: Sequence[Placed]) -> Plan:
    """Return the plan of prints already placed for a brief by ``arrange``."""
    if brief.layout.kind == "pair":
        return _spread(brief, placed)
    width = max((p.x_cm + p.width_cm for p in placed), default=0.0)
    height = max((p.y_cm + p.height_cm for p in placed), default=0.0)
    rows = tuple(len(list(row)) for _, row in groupby(placed, key=lambda p: round(p.y_cm + p.height_cm / 2, 6)))
    gap = brief.layout.gap_cm
    lines = "one row" if len(rows) == 1 else f"{len(rows)} rows"
    says = f"{len(placed)} prints in {lines}, {gap:g} cm apart, {width:.1f} by {height:.1f} cm over all"
    return Plan(brief.layout.kind, width, height, gap, rows, (), says, CAUTIONS)


def _spread(brief: Brief, placed: Sequence[Placed]) -> Plan:
    _, pages, sheet = facing_pages([(p.width_cm, p.height_cm) for p in placed], brief.layout.gap_cm)
    left = sum(p.x_cm < sheet.width_cm for p in placed)
    rows = tuple(count for count in (left, len(placed) - left) if count)
    says = f"{len(placed)} prints on two facing pages, {_named(sheet)}"
    size = 2 * sheet.width_cm, sheet.height_cm
    return Plan("pair", *size, brief.layout.gap_cm, rows, tuple(pages), says, ())


def _named(sheet: Sheet) -> str:
    size = f"{sheet.width_cm:.1f} by {sheet.height_cm:.1f} cm each"
    return f"{sheet.name}, {size}" if sheet.name.startswith("A") else f"{size}, {sheet.name}"
