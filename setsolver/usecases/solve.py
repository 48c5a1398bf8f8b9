"""Solve a bare problem, and say why where no set exists."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import TYPE_CHECKING

from setsolver.errors import BadInput
from setsolver.solver import conflict

if TYPE_CHECKING:
    from setsolver.domain.problem import Problem
    from setsolver.domain.solution import Solution
    from setsolver.usecases.effort import Effort

__all__ = ["solve"]


def solve(problem: Problem, effort: Effort, *, alternates: int = 0, differ: int = 1) -> Solution:
    """Return the best sets; where none exists, the clashing rules, for which the rest of the time is used.

    Parameters
    ----------
    alternates, differ : how many further sets, and by how many frames any two sets differ at least.

    Raises
    ------
    BadInput
        Where sets cannot differ by so many frames.
    """
    if differ > problem.size:
        raise BadInput(f"differ: {differ}, but sets of {problem.size} differ by at most {problem.size}; ask for fewer")
    start = time.perf_counter()
    solution = effort.solve(problem, alternates=alternates, differ=differ)
    if solution.status != "infeasible" or solution.conflict:
        return solution
    deadline = None if effort.time_limit is None else start + effort.time_limit
    clashes = conflict.find(problem, seed=effort.seed, deadline=deadline)
    return replace(solution, conflict=clashes, seconds=time.perf_counter() - start)
