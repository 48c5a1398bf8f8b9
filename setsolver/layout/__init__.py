"""Geometry of a set on a wall or a page, in centimetres. No pixels, no files."""

from setsolver.layout.arrange import ArrangeItem, Arrangement, arrange, check_wall
from setsolver.layout.hooks import Hook, Hung, hanging_order, hung
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
    "Hook",
    "Hung",
    "Kind",
    "Sheet",
    "Task",
    "arrange",
    "check_wall",
    "facing_pages",
    "hang",
    "hanging_order",
    "hung",
    "kind_named",
    "kinds",
    "plan_for",
    "plan_of",
    "smallest_sheet",
]
