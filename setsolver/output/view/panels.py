"""Black, mid and white of every frame, before and after correction, against the look with its slack and reach."""

from __future__ import annotations

from math import ceil, floor
from typing import NamedTuple

from setsolver.domain.brief import Brief
from setsolver.domain.outcome import SetFound
from setsolver.domain.tone_curve import reached

__all__ = ["NAMES", "Band", "Mark", "Panel", "Scale", "panels", "ticks"]

LEFT, RIGHT, TOP, BOTTOM = 30.0, 300.0, 10.0, 226.0
"""The plot's field, in units of the drawing (300 x 250)."""
NAMES = {"black": "Black point", "mid": "Mid tone", "white": "White point"}
_MOST_LABELS = 12
_ROUNDING = 0.05


class Scale(NamedTuple):
    """A straight scale: values low to high lie at start to end of the drawing."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Return where a value lies."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


class Mark(NamedTuple):
    """A frame in a panel. label : its number, "" where labels would crowd. fits : ends within the look's slack."""

    number: int
    label: str
    x: float
    from_y: float
    to_y: float
    before: float
    after: float
    fits: bool


class Band(NamedTuple):
    """A range of tones around the look: its upper edge and height in the drawing."""

    top: float
    height: float


class Panel(NamedTuple):
    """One tone axis. ticks : (where, value). look_y : where the look lies."""

    axis: str
    name: str
    look: float
    look_y: float
    slack: Band
    reach: Band
    ticks: tuple[tuple[float, str], ...]
    marks: tuple[Mark, ...]


def panels(brief: Brief, found: SetFound) -> tuple[Panel, ...]:
    """Return the plots of black, mid and white."""
    return tuple(_panel(axis, brief, found) for axis in NAMES)


def _panel(axis: str, brief: Brief, found: SetFound) -> Panel:
    look = float(getattr(found.look, axis))
    slack, reach = float(getattr(brief.tone.slack, axis)), float(getattr(brief.tone.reach, axis))
    pairs = [(getattr(f.tone, axis), getattr(reached(f.tone, f.correction), axis)) for f in found.frames]
    scale = _scale([look - slack - reach, look + slack + reach, *(value for pair in pairs for value in pair)])
    return Panel(
        axis=axis,
        name=NAMES[axis],
        look=look,
        look_y=scale.at(look),
        slack=_band(scale, look, slack),
        reach=_band(scale, look, slack + reach),
        ticks=tuple((scale.at(value), f"{value:g}") for value in ticks(scale.low, scale.high)),
        marks=_marks(scale, pairs, look, slack),
    )


def _scale(values: list[float]) -> Scale:
    pad = max(0.07 * (max(values) - min(values)), 0.5)
    return Scale(min(values) - pad, max(values) + pad, BOTTOM, TOP)


def _band(scale: Scale, look: float, away: float) -> Band:
    return Band(scale.at(look + away), scale.at(look - away) - scale.at(look + away))


def _marks(scale: Scale, pairs: list[tuple[float, float]], look: float, slack: float) -> tuple[Mark, ...]:
    every, step = ceil(len(pairs) / _MOST_LABELS), (RIGHT - LEFT) / len(pairs)
    return tuple(
        Mark(
            number=i + 1,
            label=str(i + 1) if i % every == 0 else "",
            x=LEFT + step * (i + 0.5),
            from_y=scale.at(before),
            to_y=scale.at(after),
            before=before,
            after=after,
            fits=abs(after - look) <= slack + _ROUNDING,
        )
        for i, (before, after) in enumerate(pairs)
    )


def ticks(low: float, high: float) -> list[float]:
    """Return the multiples of 1, 2, 5, 10 or 20 in a range: the finest step that gives at most six, within 0 to 100."""
    low, high = max(low, 0.0), min(high, 100.0)
    every = ([float(k * step) for k in range(ceil(low / step), floor(high / step) + 1)] for step in (1, 2, 5, 10, 20))
    return next(inside for inside in every if len(inside) <= 6)
