"""A solver kept warm: one catalog asked again and again with other wishes, exclusions or weights.

Three things carry over from one question to the next:

* A proof. Asking for more includes or excludes only takes sets away, so a proven best set that still keeps the rules
stays
  proven best, without any search.
* Sets. Every set found so far is tried under the new rules; the best that holds is the bar from the first node on.
* Looks. First sets are built around the looks of the best sets known, which a change of a frame moves little.

Invariant (tested): the answer's score and status are those of a fresh ``solve``.
"""

from __future__ import annotations

import time
from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from setsolver.domain.problem import Problem
from setsolver.domain.solution import Choice, Solution
from setsolver.solver.polish import polished
from setsolver.solver.ready import make_ready
from setsolver.solver.search import search
from setsolver.solver.solve import status_of

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["Warm"]

REMEMBERED = 64


class _Answered(NamedTuple):
    """A question that was answered with proof."""

    problem: Problem
    best: Choice


class Warm:
    """Answers changed versions of one problem.

    Parameters
    ----------
    problem : what does not change is taken from here at every question.
    seed, workers : as for ``solve``.
    """

    def __init__(self, problem: Problem, *, seed: int = 0, workers: int | None = None) -> None:
        self.problem, self.seed, self.workers = problem, seed, workers
        self._sets: list[Choice] = []
        self._answered: list[_Answered] = []

    def solve(
        self,
        *,
        time_limit: float | None = None,
        stop: Callable[[], bool] | None = None,
        progress: Callable[[float, float], None] | None = None,
        **changes: Any,
    ) -> Solution:
        """Return the best set of the problem with some arrays changed.

        Parameters
        ----------
        changes : arrays of ``Problem`` by key; the number of renditions must stay.

        Raises
        ------
        BadProblem
            As ``Problem.replaced``.
        """
        make_ready()
        begun = time.perf_counter()
        problem = self.problem.replaced(**changes) if changes else self.problem
        best = self._still_best(problem)
        if best is not None:
            return Solution("optimal", time.perf_counter() - begun, (best,))
        deadline = None if time_limit is None else begun + time_limit
        found = search(
            problem,
            deadline=deadline,
            seed=self.seed,
            workers=self.workers,
            stop=stop,
            progress=progress,
            start=self._starts(problem),
        )
        if found.choice is not None:
            self._remember(problem, found.choice)
        sets = () if found.choice is None else (found.choice,)
        return Solution(status_of(found), time.perf_counter() - begun, sets, nodes=found.nodes)

    def _starts(self, problem: Problem) -> list[Choice]:
        """Return the sets known, those that hold now first, the best of them first; then the latest others."""
        now = [(polished(problem, known.chosen), known) for known in self._sets if len(known.chosen) == problem.size]
        holding = sorted((new for new, _ in now if new is not None), key=lambda choice: -choice.score)
        return holding + [old for new, old in reversed(now) if new is None]

    def _still_best(self, problem: Problem) -> Choice | None:
        """Return a best set that an earlier proof covers: of a question of which this one is a restriction."""
        for earlier in reversed(self._answered):
            if _restricts(problem, earlier.problem):
                choice = polished(problem, earlier.best.chosen)
                if choice is not None:
                    return replace(choice, bound=max(choice.score, earlier.best.bound))
        return None

    def _remember(self, problem: Problem, choice: Choice) -> None:
        others = [known for known in self._sets if known.chosen != choice.chosen]
        self._sets = [*others[1 - REMEMBERED :], choice]
        if choice.proven:
            self._answered = [*self._answered[1 - REMEMBERED :], _Answered(problem, choice)]


def _restricts(problem: Problem, earlier: Problem) -> bool:
    """Return whether ``problem`` asks all that ``earlier`` asks, and more includes or excludes at most."""
    more = {"include", "exclude"}
    if any(not np.isin(getattr(earlier, key), getattr(problem, key)).all() for key in more):
        return False
    others = sorted(set(Problem.keys()) - more)
    return all(np.array_equal(getattr(problem, k), getattr(earlier, k), equal_nan=k == "gain") for k in others)
