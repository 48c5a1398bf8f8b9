"""The confidence that a tilt needs, chosen where it is not judged."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import NamedTuple, Protocol

from setsolver.features.horizon import Judge, stated_tilt
from setsolver.features.lines import Line

__all__ = ["Answered", "choose_bars", "count"]

SLIGHT = (0.2, 0.25, 0.3, 0.35)
SLIGHT_TO = (0.4, 0.8, 1.2)
STRONG_FROM = (2.0, 2.5, 3.0)
RIGHT, FALSE = 0.95, 0.02
"""Share of the answers within half a degree that is asked for, and of photographs without a horizon with an answer."""
BY_EYE = 0.5


class Photograph(Protocol):
    """What is asked of a photograph; see ``fit_level.Shot``."""

    turn: float
    reading: str
    truth: tuple[float, float] | None
    size: tuple[int, int]
    lines: list[Line]


Answered = tuple[Photograph, tuple[int | None, float]]
"""A photograph, the line that was chosen for it and its chance."""


class Count(NamedTuple):
    """answers : where a horizon was read. right : of these. without : photographs with none. false : answers there."""

    answers: int
    right: int
    false: int
    without: int

    @property
    def rank(self) -> tuple[bool, float]:
        """Whether the bars are kept, then how many answers are right."""
        kept = self.right >= RIGHT * self.answers and self.false <= FALSE * self.without
        return kept, self.right if kept else self.right / max(self.answers, 1)


def count(answered: Sequence[Answered], judge: Judge) -> Count:
    told = [(one, stated_tilt(one.lines, one.size[1], chosen, judge)) for one, chosen in answered if one.turn == 0]
    off = [abs(tilt.degrees - one.truth[0]) for one, tilt in told if one.truth and tilt.degrees is not None]
    bare = [tilt for one, tilt in told if one.reading == "none"]
    false = sum(tilt.degrees is not None for tilt in bare)
    return Count(len(off), sum(one <= BY_EYE for one in off), false, len(bare))


def choose_bars(answered: Sequence[Answered], judge: Judge) -> Judge:
    """The judge with the bars that give most right answers while 95 % of them are right; the first of equals."""
    ways = [
        judge._replace(slight=slight, slight_to=low, strong_from=high)
        for slight, low, high in product(SLIGHT, SLIGHT_TO, STRONG_FROM)
    ]
    return max(ways, key=lambda way: count(answered, way).rank)
