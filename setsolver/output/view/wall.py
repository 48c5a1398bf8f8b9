"""A set in its layout, to scale: prints in shares of the whole, the scale bar, and the plan with its measures."""

from __future__ import annotations

from math import floor, log10
from typing import NamedTuple

from setsolver.domain.brief import Brief
from setsolver.domain.outcome import SetFound, SetFrame
from setsolver.domain.plan import Placed, Plan
from setsolver.layout import plan_of
from setsolver.output.view.captions import caption_of
from setsolver.output.view.shown import Shown, as_shot, finished

__all__ = ["PlanDrawing", "Print", "Wall", "plan_drawing", "scale_bar", "wall"]

_SHARPNESS = 1.5
"""Pixels embedded for each CSS pixel shown: crisp on dense screens and in print without doubling the file."""
_PLAN_WIDTH, _PLAN_HEIGHT = 400.0, 230.0


class Share(NamedTuple):
    """A rectangle in per cent of the layout's width and height."""

    left: float
    top: float
    width: float
    height: float


class Print(NamedTuple):
    """One print of the wall. number : from 1, in reading order. mount, moulding : around it; None where it has none."""

    number: int
    caption: str
    frame: SetFrame
    share: Share
    mount: Share | None
    moulding: Share | None
    finished: Shown
    as_shot: Shown


class Wall(NamedTuple):
    """A set as it hangs or stands. bar : per cent of the width and centimetres of the scale bar.

    narrowest : per cent of the width that the narrowest print takes.
    """

    plan: Plan
    aspect: float
    prints: tuple[Print, ...]
    pages: tuple[Share, ...]
    bar: tuple[float, float]
    narrowest: float


class Rectangle(NamedTuple):
    """A rectangle of the plan drawing, in its units, with its label."""

    x: float
    y: float
    width: float
    height: float
    label: str


class PlanDrawing(NamedTuple):
    """The plan as a line drawing, in units of the drawing. letters : size of the numbers inside prints."""

    width: float
    height: float
    boxes: tuple[Rectangle, ...]
    pages: tuple[Rectangle, ...]
    letters: float


def wall(brief: Brief, found: SetFound, shown_width: int) -> Wall:
    """Return the wall of a set that will be shown ``shown_width`` CSS pixels wide."""
    plan = plan_of(brief, found)
    density = shown_width / plan.width_cm * _SHARPNESS
    prints = []
    for number, frame in enumerate(found.frames, 1):
        place = frame.position
        long_side = round(min(max(max(place.width_cm, place.height_cm) * density, 160), 1100))
        share = _share(place, plan)
        pictures = finished(frame, number, long_side), as_shot(frame, number, long_side)
        mount, moulding = (_around(place, plan, border) for border in _borders(plan))
        prints.append(Print(number, caption_of(brief, frame), frame, share, mount, moulding, *pictures))
    narrowest = min(p.share.width for p in prints)
    pages = tuple(_share(page, plan) for page in plan.pages)
    length = scale_bar(plan.width_cm)
    bar = (100 * length / plan.width_cm, length)
    return Wall(plan, plan.width_cm / plan.height_cm, tuple(prints), pages, bar, narrowest)


def _borders(plan: Plan) -> tuple[float, float]:
    """Return how far mount and moulding reach beyond a print, in centimetres."""
    return (plan.wall.mount_cm, plan.border_cm) if plan.wall else (0.0, 0.0)


def _around(place: Placed, plan: Plan, border: float) -> Share | None:
    if not border:
        return None
    size = place.width_cm + 2 * border, place.height_cm + 2 * border
    return _share(Placed(x_cm=place.x_cm - border, y_cm=place.y_cm - border, width_cm=size[0], height_cm=size[1]), plan)


def _share(place: Placed, plan: Plan) -> Share:
    across, down = 100 / plan.width_cm, 100 / plan.height_cm
    return Share(place.x_cm * across, place.y_cm * down, place.width_cm * across, place.height_cm * down)


def scale_bar(width_cm: float) -> float:
    """Return the longest of 1, 2, 5, 10, 20, 50, ... cm that is at most a quarter of a width."""
    most = width_cm / 4
    power = 10.0 ** floor(log10(most))
    return max(step * power for step in (1, 2, 5) if step * power <= most)


def plan_drawing(shown: Wall) -> PlanDrawing:
    """Return the plan fitted into the drawing's width and height."""
    plan = shown.plan
    scale = min(_PLAN_WIDTH / plan.width_cm, _PLAN_HEIGHT / plan.height_cm)
    boxes = tuple(_box(p.frame.position, scale, str(p.number)) for p in shown.prints)
    pages = tuple(_box(page, scale, "") for page in plan.pages)
    smallest = min(min(box.width, box.height) for box in boxes)
    return PlanDrawing(plan.width_cm * scale, plan.height_cm * scale, boxes, pages, min(15.0, smallest * 0.6))


def _box(place: Placed, scale: float, label: str) -> Rectangle:
    return Rectangle(place.x_cm * scale, place.y_cm * scale, place.width_cm * scale, place.height_cm * scale, label)
