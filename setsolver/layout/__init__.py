"""Geometry of a set on a wall or a page, in centimetres. No pixels, no files."""

from setsolver.layout.arrange import ArrangeItem, Arrangement, arrange, check_wall
from setsolver.layout.kind import Block, Kind, Task
from setsolver.layout.kinds import kind_named, kinds
from setsolver.layout.plan import plan_for, plan_of
from setsolver.layout.spread import SHEETS, Sheet, facing_pages, smallest_sheet
from setsolver.layout.wall import hang

__all__ = [
    "SHEETS",
    "ArrangeItem",
    "Arrangement",
    "Block",
    "Kind",
    "Sheet",
    "Task",
    "arrange",
    "check_wall",
    "facing_pages",
    "hang",
    "kind_named",
    "kinds",
    "plan_for",
    "plan_of",
    "smallest_sheet",
]
