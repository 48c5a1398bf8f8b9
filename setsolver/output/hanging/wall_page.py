"""The first page: the wall to scale, with every frame, its number and its hooks."""

from __future__ import annotations

from math import ceil
from typing import Any

from setsolver.domain.plan import Plan
from setsolver.output.hanging.drawing import Cross, Drawing, Label, Line, Outline, draw_wall
from setsolver.output.hanging.page import ACCENT, INK, SOFT, Page
from setsolver.output.hanging.papers import POINTS_PER_MM
from setsolver.output.hanging.words import both, from_where

__all__ = ["draw_wall_page", "scale_of"]

_MARGIN, _HEAD, _FOOT = 14.0, 34.0, 44.0
_PENS: dict[str, dict[str, Any]] = {
    "wall": {"ink": "#999999", "pen": 0.5},
    "floor": {"pen": 1.4},
    "keep": {"ink": "#777777", "pen": 0.5, "dash": (2, 1.5), "fill": "#e4e4e4"},
    "frame": {"pen": 0.9, "fill": "#f4f1f4"},
    "print": {"ink": "#888888", "pen": 0.4, "fill": "#ffffff"},
    "centre": {"ink": ACCENT, "pen": 0.5, "dash": (6, 3)},
    "stair": {"ink": "#777777", "pen": 0.6},
    "measure": {"ink": SOFT, "pen": 0.4},
}


def scale_of(drawing: Drawing, page: Page) -> int:
    """Return the scale, 1 to a multiple of 5 up to 50 and of 10 beyond, at which the wall fits the page."""
    room = page.width - 2 * _MARGIN, page.height - _HEAD - _FOOT
    least = max(drawing.width * 10 / room[0], drawing.height * 10 / room[1])
    step = 5 if least <= 50 else 10
    return max(5, ceil(least / step) * step)


def draw_wall_page(page: Page, plan: Plan, title: str) -> None:
    """Draw the page."""
    drawing = draw_wall(plan)
    scale = scale_of(drawing, page)
    page.text(_MARGIN, page.height - 16, title, 16, bold=True)
    head = f"Hanging plan. Scale 1:{scale}; lengths on the wall in centimetres. {plan.says}."
    y = page.lines(_MARGIN, page.height - 22, head, 8.5, page.width - 2 * _MARGIN, ink=SOFT)
    page.lines(_MARGIN, y, _rests_on(plan), 8.5, page.width - 2 * _MARGIN, ink=SOFT)
    left = (page.width - drawing.width * 10 / scale) / 2
    for shape in drawing.shapes:
        _draw(page, shape, left - drawing.x * 10 / scale, _FOOT, 10 / scale)
    page.cautions(_MARGIN, _FOOT - 8, page.width - 2 * _MARGIN, 6.6)


def _rests_on(plan: Plan) -> str:
    centre = both(plan, plan.centre_cm or 0.0)
    line = "above the line over the noses of the steps" if plan.kind == "steps" else "above the floor"
    parts = [f"Centre line {centre} {line}"]
    if plan.wall is None:
        parts.append(f"distances to the right count from {from_where(plan)}, since no wall was measured")
    if plan.border_cm:
        parts.append(f"mount and frame add {both(plan, plan.border_cm)} on each side of a print")
    return "; ".join(parts) + "."


def _draw(page: Page, shape: Outline | Line | Cross | Label, x0: float, y0: float, mm: float) -> None:
    """Draw one shape; mm : of paper for a centimetre of wall."""
    match shape:
        case Outline(x, y, width, height, style):
            page.box(x0 + x * mm, y0 + y * mm, width * mm, height * mm, **_PENS[style])
        case Line(x1, y1, x2, y2, style):
            page.line(x0 + x1 * mm, y0 + y1 * mm, x0 + x2 * mm, y0 + y2 * mm, **_PENS[style])
        case Cross(x, y):
            page.cross(x0 + x * mm, y0 + y * mm, 1.6)
        case Label(x, y, text, size, _):
            points = 8 * size
            low = y0 + y * mm - points * 0.35 / POINTS_PER_MM
            page.text(x0 + x * mm, low, text, points, align="middle", ink=INK)
