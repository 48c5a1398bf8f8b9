"""Time: the frames of a set were taken near each other; a morning and the next month do not tell one story."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from setsolver.domain.columns import Column, measured_or
from setsolver.domain.frame import Frame
from setsolver.domain.problem import Floats
from setsolver.domain.unweighted import Axis
from setsolver.rules.draft import Draft
from setsolver.rules.term import AxisTerm
from setsolver.rules.words import count

__all__ = ["SLACK", "Time", "doublings_of"]

SLACK = 0.3
"""Doublings by which a frame may lie off the set's time for nothing."""
ENOUGH = 0.7
"""Share of frames that need a time for time to count."""
HOUR = 3600.0
_INSTANT = Column(measured_or(np.nan, lambda frame: frame.shot.instant))


class Time(AxisTerm):
    """Doublings of an hour before or after the catalog's middle: an hour apart counts 1, three hours 2, a day 4.6."""

    name = "time"
    key = "weights.time"
    rank = 74

    def apply(self, draft: Draft) -> None:
        """Give the axis where enough frames have a time."""
        doublings = doublings_of(draft.frames)
        if doublings is not None:
            draft.agree(self, "time", doublings[draft.table.frame], SLACK, says="time")

    def says(self, axis: Axis, level: float, away: np.ndarray, paths: tuple[str, ...]) -> str:
        """Return how near each other the frames were taken, in hours: doublings tell nobody anything."""
        beyond, far = int((np.abs(away) > axis.slack).sum()), int(np.abs(away).argmax())
        if beyond == 0:
            return "taken near each other"
        lies = "frame lies" if beyond == 1 else "frames lie"
        apart = float(_hours(level + away[far]) - _hours(level))
        side = "later" if apart > 0 else "earlier"
        return f"{beyond} {lies} off the set's time, the furthest is {paths[far]}, {_span(abs(apart))} {side}"


def _hours(doublings: float) -> float:
    """Return hours off the middle from doublings, the inverse of ``doublings_of``."""
    return float(np.sign(doublings) * (2.0 ** abs(doublings) - 1.0))


def _span(hours: float) -> str:
    """Return a span of time as one says it: minutes below an hour and a half, days from two on."""
    if hours < 1.5:
        return count(max(1, round(60 * hours)), "minute")
    return f"{hours:.1f} hours" if hours < 48 else f"{hours / 24:.1f} days"


def doublings_of(frames: Sequence[Frame]) -> Floats | None:
    """Return how far frames lie from the middle of their times, [F], signed; None where too few have a time.

    log2(1 + hours); frames without a time lie in the middle.
    """
    hours = _INSTANT.of(frames) / HOUR
    if np.isfinite(hours).mean() < ENOUGH:
        return None
    away = np.nan_to_num(hours - np.nanmedian(hours))
    return np.asarray(np.sign(away) * np.log2(1.0 + np.abs(away)))
