"""Geometry of a set on a wall or a page, in centimetres. No pixels, no files."""

from setsolver.layout.arrange import ArrangeItem, Arrangement, arrange
from setsolver.layout.plan import Plan, describe
from setsolver.layout.spread import SHEETS, Sheet, facing_pages, smallest_sheet
from setsolver.layout.wall import hang

__all__ = [
    "SHEETS",
    "ArrangeItem",
    "Arrangement",
    "Plan",
    "Sheet",
    "arrange",
    "describe",
    "facing_pages",
    "hang",
    "smallest_sheet",
]
