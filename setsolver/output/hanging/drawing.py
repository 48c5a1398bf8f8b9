"""The wall as a list of rectangles, lines, crosses and words, in centimetres, for any kind of page."""

from __future__ import annotations

from itertools import pairwise
from typing import Literal, NamedTuple

from setsolver.domain.plan import Keepout, Plan, Stair
from setsolver.layout import Hung, hung

__all__ = ["Cross", "Drawing", "Label", "Line", "Outline", "draw_wall"]

_ASIDE, _ABOVE = 40.0, 30.0
"""Wall shown around a set where nobody measured the wall."""
_LEAST_HEIGHT = 220.0
_DASH = 4.0

Style = Literal["wall", "floor", "keep", "frame", "print", "centre", "stair", "measure"]


class Outline(NamedTuple):
    """A rectangle: left edge, lower edge, width and height."""

    x: float
    y: float
    width: float
    height: float
    style: Style


class Line(NamedTuple):
    """A line between two points."""

    x1: float
    y1: float
    x2: float
    y2: float
    style: Style


class Cross(NamedTuple):
    """Where a hook goes."""

    x: float
    y: float


class Label(NamedTuple):
    """Words with their middle at a point. size : in shares of the ordinary size; upright : read from the right side."""

    x: float
    y: float
    text: str
    size: float = 1.0
    upright: bool = False


class Drawing(NamedTuple):
    """Shapes with x to the right and y up from the floor. x, width, height : of the part of the wall that is shown."""

    x: float
    width: float
    height: float
    shapes: tuple[Outline | Line | Cross | Label, ...]


def draw_wall(plan: Plan) -> Drawing:
    """Return the wall of a plan with floor, centre line, what stays clear, frames, prints, numbers and hooks."""
    frames = hung(plan)
    wall = plan.wall
    x = 0.0 if wall else -_ASIDE
    width = wall.width_cm if wall else plan.width_cm + 2 * _ASIDE
    top = max((frame.top_cm for frame in frames), default=0.0)
    height = wall.height_cm if wall else max(_LEAST_HEIGHT, top + _ABOVE)
    shapes: list[Outline | Line | Cross | Label] = [
        Outline(x, 0.0, width, height, "wall"),
        Line(x, 0.0, x + width, 0.0, "floor"),
    ]
    for keep in wall.clear if wall else ():
        shapes += _kept(keep)
    shapes += _level(plan, x, width)
    for frame in frames:
        shapes += _framed(frame, plan.border_cm)
    return Drawing(x, width, height, (*shapes, *_measures(plan, frames, x, width)))


def _kept(keep: Keepout) -> list[Outline | Line | Cross | Label]:
    below_top = min(10.0, keep.height_cm / 2)
    middle = keep.left_cm + keep.width_cm / 2, keep.bottom_cm + keep.height_cm - below_top
    box = Outline(keep.left_cm, keep.bottom_cm, keep.width_cm, keep.height_cm, "keep")
    return [box, Label(*middle, keep.what or "keep clear", 0.8)]


def _level(plan: Plan, x: float, width: float) -> list[Outline | Line | Cross | Label]:
    """Return the centre line; over a stair the line over its noses and the one that the prints follow."""
    centre = plan.centre_cm or 0.0
    stair = plan.wall.stair if plan.wall and plan.kind == "steps" else None
    if stair is None:
        return [Line(x, centre, x + width, centre, "centre")]
    ends = [x, x + width]
    noses = [stair.foot_cm, ends[1] if stair.up == "right" else ends[0]]
    return [
        _sloped(stair, noses, 0.0, "stair"),
        _sloped(stair, ends, centre, "centre"),
        *_steps(stair, x, width),
    ]


def _sloped(stair: Stair, ends: list[float], up: float, style: Style) -> Line:
    """Return the line ``up`` centimetres above the one over the noses."""
    (x1, y1), (x2, y2) = ((at, up + stair.slope * (at - stair.foot_cm)) for at in ends)
    return Line(x1, y1, x2, y2, style)


def _steps(stair: Stair, x: float, width: float) -> list[Outline | Line | Cross | Label]:
    """Return risers and treads from the foot to the end of the wall."""
    way = 1 if stair.up == "right" else -1
    room = (x + width - stair.foot_cm) if way == 1 else (stair.foot_cm - x)
    shapes: list[Outline | Line | Cross | Label] = []
    for step in range(int(room // stair.run_cm)):
        at, up = stair.foot_cm + way * step * stair.run_cm, step * stair.rise_cm
        shapes.append(Line(at, up, at, up + stair.rise_cm, "stair"))
        shapes.append(Line(at, up + stair.rise_cm, at + way * stair.run_cm, up + stair.rise_cm, "stair"))
    return shapes


def _framed(frame: Hung, border: float) -> list[Outline | Line | Cross | Label]:
    box = Outline(frame.left_cm, frame.bottom_cm, frame.width_cm, frame.height_cm, "frame")
    inner = Outline(
        frame.left_cm + border,
        frame.bottom_cm + border,
        frame.width_cm - 2 * border,
        frame.height_cm - 2 * border,
        "print",
    )
    crosses = [Cross(hook.left_cm, hook.floor_cm) for hook in frame.hooks]
    number = Label(frame.left_cm + frame.width_cm / 2, frame.bottom_cm + frame.height_cm / 2, str(frame.number), 1.5)
    return [box, *([inner] if border else []), *crosses, number]


def _measures(plan: Plan, frames: tuple[Hung, ...], x: float, width: float) -> list[Outline | Line | Cross | Label]:
    """Return dimension lines: the set's left edge, width and right edge, and the height of the centre line."""
    if not frames:
        return []
    low = min(frame.bottom_cm for frame in frames) - 8.0
    left = plan.left_cm or 0.0
    ends = [x, left, left + plan.width_cm, x + width] if plan.wall else [left, left + plan.width_cm]
    shapes: list[Outline | Line | Cross | Label] = []
    for start, end in pairwise(ends):
        if end - start > 1.0:
            shapes += _dimension(start, end, low)
    return shapes


def _dimension(start: float, end: float, y: float) -> list[Outline | Line | Cross | Label]:
    ticks = [Line(at, y - _DASH / 2, at, y + _DASH / 2, "measure") for at in (start, end)]
    return [Line(start, y, end, y, "measure"), *ticks, Label((start + end) / 2, y - 5.0, f"{end - start:.1f}", 0.8)]
