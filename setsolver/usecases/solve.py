"""The best set of a bare problem, or why there is none."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import TYPE_CHECKING

from setsolver.solver import conflict
from setsolver.solver.ready import make_ready

if TYPE_CHECKING:
    from setsolver.domain.problem import Problem
    from setsolver.domain.solution import Solution
    from setsolver.solver import Warm
    from setsolver.usecases.effort import Effort

__all__ = ["solve"]

LEAST_TIME = 5.0
"""Seconds that the question why there is no set gets at least, even where the search has used up its own."""


def solve(problem: Problem, effort: Effort, warm: Warm | None = None) -> Solution:
    """Return the best set; where none was found, the clashing rules.

    Parameters
    ----------
    warm : a solver that has answered questions about the same rows before.

    Whether any set exists at all is decided by a search of its own, so a search that ran out of time without a set may
    still end in "infeasible".
    """
    make_ready()
    start = time.perf_counter()
    solution = effort.solve(problem) if warm is None else _warmly(problem, effort, warm)
    if solution.solutions or solution.conflict:
        return solution
    if effort.tell is not None:
        effort.tell("No set was found: looking for the rules that cannot hold together")
    now = time.perf_counter()
    deadline = None if effort.time_limit is None else max(now + LEAST_TIME, start + effort.time_limit)
    clashes = conflict.find(problem, seed=effort.seed, deadline=deadline, stop=effort.stop)
    status = "infeasible" if clashes else solution.status
    return replace(solution, status=status, conflict=clashes, seconds=time.perf_counter() - start)


def _warmly(problem: Problem, effort: Effort, warm: Warm) -> Solution:
    return warm.ask(problem, time_limit=effort.time_limit, stop=effort.stop, progress=effort.progress)
