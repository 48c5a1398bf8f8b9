"""The cast of every frame on a disc of a* (green to red) and b* (blue to yellow) about neutral grey."""

from __future__ import annotations

from math import ceil, hypot
from typing import NamedTuple

from setsolver.domain.brief import Brief
from setsolver.domain.outcome import SetFound, SetFrame
from setsolver.domain.tone_curve import reached

__all__ = ["CENTRE", "RADIUS", "Disc", "Dot", "disc"]

CENTRE, RADIUS = 150.0, 118.0
"""The disc in units of the drawing (300 x 300)."""
_ROUNDING = 0.05

Point = tuple[float, float]


class Dot(NamedTuple):
    """A frame on the disc, from before to after its correction. fits : ends within the look's slack on both axes."""

    number: int
    x: float
    y: float
    to_x: float
    to_y: float
    before: Point
    after: Point
    fits: bool


class Square(NamedTuple):
    """A square about the look: its left, top and side in the drawing; slack and reach count by axis."""

    x: float
    y: float
    side: float


class Disc(NamedTuple):
    """rings : (radius in the drawing, chroma). look_at : where the look lies."""

    look: tuple[float, float]
    look_at: tuple[float, float]
    slack: Square
    reach: Square
    rings: tuple[tuple[float, int], ...]
    dots: tuple[Dot, ...]


def disc(brief: Brief, found: SetFound) -> Disc | None:
    """Return the disc of a set; None for mono, which has no cast."""
    if brief.tone.treatment == "mono":
        return None
    look = found.look.cast_a, found.look.cast_b
    slack, reach = brief.tone.slack.cast, brief.tone.reach.cast
    pairs = [((f.tone.cast_a, f.tone.cast_b), _after(f)) for f in found.frames]
    edge = slack + reach
    furthest = max(
        hypot(abs(look[0]) + edge, abs(look[1]) + edge), *(hypot(*point) for pair in pairs for point in pair)
    )
    step = 5 if furthest <= 30 else 10 if furthest <= 60 else 20
    most = step * ceil(furthest / step)
    unit = RADIUS / most
    return Disc(
        look=look,
        look_at=_at(look, unit),
        slack=_square(look, slack, unit),
        reach=_square(look, edge, unit),
        rings=tuple((chroma * unit, chroma) for chroma in range(step, most + 1, step)),
        dots=tuple(_dot(i, *pair, look, slack, unit) for i, pair in enumerate(pairs, 1)),
    )


def _after(frame: SetFrame) -> Point:
    tone = reached(frame.tone, frame.correction)
    return tone.cast_a, tone.cast_b


def _at(point: Point, unit: float) -> Point:
    """Return where a* and b* lie: a* to the right, b* upwards."""
    return CENTRE + point[0] * unit, CENTRE - point[1] * unit


def _square(look: Point, away: float, unit: float) -> Square:
    x, y = _at((look[0] - away, look[1] + away), unit)
    return Square(x, y, 2 * away * unit)


def _dot(number: int, before: Point, after: Point, look: Point, slack: float, unit: float) -> Dot:
    fits = all(abs(value - wanted) <= slack + _ROUNDING for value, wanted in zip(after, look, strict=True))
    return Dot(number, *_at(before, unit), *_at(after, unit), before, after, fits)
