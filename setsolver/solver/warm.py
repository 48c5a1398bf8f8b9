"""A solver kept warm: one catalog asked again and again with other wishes, exclusions or weights.

Three things carry over from one question to the next:

* A proof. Asking for more includes or excludes only takes sets away, so a proven best set that still keeps the rules
  stays proven best, without any search.
* Sets. Every set found so far is tried under the new rules; the best that holds is the bar from the first node on.
* Looks. First sets are built around the looks of the best sets known, which a change of a frame moves little.

Invariant (tested): the answer's score and status are those of a fresh ``solve``.
"""

from __future__ import annotations

import hashlib
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

    from setsolver.domain.problem import Ints

__all__ = ["Warm"]

REMEMBERED = 64


class _Answered(NamedTuple):
    """A question that was answered with proof. mark : of all that it asked beside includes and excludes."""

    mark: bytes
    include: Ints
    exclude: Ints
    best: Choice


class Warm:
    """Answers changed versions of one problem.

    Parameters
    ----------
    problem : what does not change is taken from here at every question of ``solve``; ``ask`` brings its own.
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
        problem = self.problem.replaced(**changes) if changes else self.problem
        return self.ask(problem, time_limit=time_limit, stop=stop, progress=progress)

    def ask(
        self,
        problem: Problem,
        *,
        time_limit: float | None = None,
        stop: Callable[[], bool] | None = None,
        progress: Callable[[float, float], None] | None = None,
    ) -> Solution:
        """Return the best set of a problem whose rows are those known; anything else about it may be new."""
        make_ready()
        begun = time.perf_counter()
        mark = _mark(problem)
        best = self._still_best(problem, mark)
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
            start=self.starts(problem),
        )
        if found.choice is not None:
            self._remember(problem, mark, found.choice)
        sets = () if found.choice is None else (found.choice,)
        return Solution(status_of(found), time.perf_counter() - begun, sets, nodes=found.nodes)

    def starts(self, problem: Problem) -> list[Choice]:
        """Return the sets known, as any search about these rows may start from them: what holds now, the best first.

        Those that do not hold now come last, for their looks.
        """
        now = [(polished(problem, known.chosen), known) for known in self._sets if len(known.chosen) == problem.size]
        holding = sorted((new for new, _ in now if new is not None), key=lambda choice: -choice.score)
        axes = problem.tone.shape[1]
        return holding + [old for new, old in reversed(now) if new is None and len(old.look) == axes]

    def know(self, choice: Choice) -> None:
        """Keep a set that some other question found; nothing is taken as proven by it."""
        others = [known for known in self._sets if known.chosen != choice.chosen]
        self._sets = [*others[1 - REMEMBERED :], choice]

    def moved(self, rows: Ints) -> None:
        """Keep what is known of sets where renditions have come and gone.

        Parameters
        ----------
        rows : for each old rendition its new number, -1 where it is gone. What was proven is forgotten.
        """
        lasting = [known for known in self._sets if (rows[list(known.chosen)] >= 0).all()]
        self._sets = [replace(known, chosen=tuple(int(row) for row in rows[list(known.chosen)])) for known in lasting]
        self._answered = []

    def _still_best(self, problem: Problem, mark: bytes) -> Choice | None:
        """Return a best set that an earlier proof covers: of a question of which this one is a restriction."""
        for earlier in reversed(self._answered):
            if mark == earlier.mark and _asks_more(problem, earlier):
                choice = polished(problem, earlier.best.chosen)
                if choice is not None:
                    return replace(choice, bound=max(choice.score, earlier.best.bound))
        return None

    def _remember(self, problem: Problem, mark: bytes, choice: Choice) -> None:
        self.know(choice)
        if choice.proven:
            answered = _Answered(mark, problem.include, problem.exclude, choice)
            self._answered = [*self._answered[1 - REMEMBERED :], answered]


def _mark(problem: Problem) -> bytes:
    """Return a digest of everything but includes and excludes."""
    digest = hashlib.blake2b(digest_size=16)
    for key in sorted(set(Problem.keys()) - {"include", "exclude"}):
        array = np.ascontiguousarray(getattr(problem, key))
        digest.update(f"{key} {array.dtype} {array.shape}".encode())
        digest.update(array.tobytes())
    return digest.digest()


def _asks_more(problem: Problem, earlier: _Answered) -> bool:
    """Return whether ``problem`` asks for all includes and excludes of an earlier question, and more at most."""
    return bool(np.isin(earlier.include, problem.include).all() and np.isin(earlier.exclude, problem.exclude).all())
