"""Where a solver stands at a moment: wall and processor seconds, best score, bound."""

from __future__ import annotations

import time
from typing import NamedTuple


class Moment(NamedTuple):
    """seconds : wall; cpu : of all threads of the process, which other work on the machine does not stretch."""

    seconds: float
    cpu: float
    score: float
    bound: float

    @property
    def gap(self) -> float:
        """The bound's distance from the score, as a share of the score; inf without a set."""
        return (
            max(0.0, self.bound - self.score) / max(1.0, abs(self.score))
            if self.score > -float("inf")
            else float("inf")
        )


class Run(NamedTuple):
    """What a solver reached: its last moment, all moments, and whether it ended by itself."""

    last: Moment
    trace: list[Moment]
    done: bool

    def first_within(self, gap: float) -> Moment | None:
        """Return the first moment with a set and a gap of at most ``gap``."""
        return next((moment for moment in self.trace if moment.gap <= gap and moment.gap < float("inf")), None)


def clock(start: Moment | None = None, score: float = -float("inf"), bound: float = float("inf")) -> Moment:
    """Return now, or the time since ``start``, with score and bound."""
    wall, cpu = time.perf_counter(), time.process_time()
    return Moment(wall - (start.seconds if start else 0.0), cpu - (start.cpu if start else 0.0), score, bound)
