"""How hard to search: what every question to the solver shares."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from setsolver.domain.problem import Problem
from setsolver.domain.solution import Solution
from setsolver.solver import solve

__all__ = ["TIME_LIMIT", "Effort"]

TIME_LIMIT = 60.0
"""Seconds for the best set and all alternates; a gap that is left is said."""


@dataclass(frozen=True, slots=True)
class Effort:
    """time_limit : seconds, None = until proven. seed : the same seed gives the same sets, whatever the workers.

    workers : threads, None = all cores. progress : told (score, bound) now and then. stop : asked now and then; True
    ends the search with what there is. tell : told in words what is worked out, where that is more than a search.
    work : of a book alone, 1 = as much as it takes by itself.
    """

    time_limit: float | None = TIME_LIMIT
    seed: int = 0
    workers: int | None = None
    progress: Callable[[float, float], None] | None = None
    stop: Callable[[], bool] | None = None
    tell: Callable[[str], None] | None = None
    work: float = 1.0

    def solve(self, problem: Problem, *, alternates: int = 0, differ: int = 1) -> Solution:
        """Return the solver's answer under this effort."""
        return solve(
            problem,
            alternates=alternates,
            differ=differ,
            time_limit=self.time_limit,
            seed=self.seed,
            workers=self.workers,
            progress=self.progress,
            stop=self.stop,
        )
