"""Solve a problem: the thread that ties search, alternates and the answer's status together."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Any

from setsolver.domain.solution import Solution
from setsolver.solver.alternates import find
from setsolver.solver.ready import make_ready
from setsolver.solver.search import Found, search

if TYPE_CHECKING:
    from collections.abc import Callable

    from setsolver.domain.problem import Problem

__all__ = ["solve", "status_of"]


def solve(
    problem: Problem,
    *,
    time_limit: float | None = None,
    alternates: int = 0,
    differ: int = 1,
    seed: int = 0,
    workers: int | None = None,
    progress: Callable[[float, float], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> Solution:
    """Return the best set with proof, and the next best sets that differ from all before by at least ``differ`` frames.

    Parameters
    ----------
    time_limit : seconds for everything; None = until proven. What the best set leaves is shared by the alternates.
    alternates : how many further sets to look for.
    differ : least number of frames by which any two of the sets differ, 1 to N.
    seed, workers : the answer depends on the seed only, not on the number of workers.
    progress : told (best score so far, bound so far) now and then.
    stop : asked now and then; True ends the search with what is there.
    """
    make_ready()
    start = time.perf_counter()
    deadline = None if time_limit is None else start + time_limit
    options: dict[str, Any] = {"seed": seed, "workers": workers, "stop": stop, "progress": progress}
    first = search(problem, deadline=deadline, **options)
    sets, nodes = [], first.nodes
    if first.choice is not None:
        sets.append(first.choice)
        answers = find(problem, first.choice, ["differs"] * alternates, differ=differ, deadline=deadline, **options)
        sets += [answer.found.choice for answer in answers if answer.found.choice is not None]
        nodes += sum(answer.found.nodes for answer in answers)
    return Solution(status_of(first), time.perf_counter() - start, tuple(sets), nodes=nodes)


def status_of(found: Found) -> str:
    """Return the status of the solution document for what a search found."""
    if found.choice is None:
        return "infeasible" if found.finished else "unknown"
    return "optimal" if found.choice.proven else "feasible"
