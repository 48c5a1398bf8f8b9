"""Everything that can be asked of a bare problem: best set, alternates, prices, or why there is none."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from setsolver.errors import BadInput
from setsolver.solver import price
from setsolver.usecases.alternates import solve_with_alternates

if TYPE_CHECKING:
    from collections.abc import Sequence

    from setsolver.domain.problem import Problem
    from setsolver.domain.solution import Choice, Solution
    from setsolver.solver.price import Price
    from setsolver.usecases.effort import Effort

__all__ = ["Bare", "answer"]


@dataclass(frozen=True)
class Bare:
    """The solution, and the price of each rule where that was asked."""

    solution: Solution
    prices: tuple[Price, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """Return the document ``setsolver/solution`` version 1; ``prices`` is there where any were asked."""
        document = self.solution.to_json()
        if self.prices:
            document["prices"] = [cost.to_json() for cost in self.prices]
        return document


def answer(
    problem: Problem, effort: Effort, *, kinds: Sequence[str] = (), differ: int = 1, prices: bool = False
) -> Bare:
    """Return the best set with alternates of the kinds asked, and the prices of the rules.

    Parameters
    ----------
    kinds : out of ``solver.alternates.KINDS``.
    differ : least number of frames by which any two sets differ, 1 to N.
    prices : also say what each hard rule costs. That takes a search for each rule; what is left of the time is shared.

    Raises
    ------
    BadInput
        Where sets cannot differ by so many frames.
    """
    if differ > problem.size:
        raise BadInput(f"differ: {differ}, but sets of {problem.size} differ by at most {problem.size}; ask for fewer")
    start = time.perf_counter()
    solution = solve_with_alternates(problem, effort, kinds, differ)
    missing = 1 + len(kinds) - len(solution.solutions)
    if solution.best and missing:
        note = (
            f"{missing} of {len(kinds)} further sets are not there: no more differ so much, or none was found in time"
        )
        solution = replace(solution, notes=(*solution.notes, note))
    if not prices or solution.best is None:
        return Bare(solution)
    return Bare(solution, _prices(problem, solution.best, effort, start))


def _prices(problem: Problem, best: Choice, effort: Effort, start: float) -> tuple[Price, ...]:
    rules = price.priced_rules(problem)
    found = []
    for done, rule in enumerate(rules):
        deadline = None
        if effort.time_limit is not None:
            now = time.perf_counter()
            deadline = now + max(0.0, start + effort.time_limit - now) / (len(rules) - done)
        options = {"deadline": deadline, "seed": effort.seed, "workers": effort.workers, "stop": effort.stop}
        found.append(price.of_rule(problem, best, rule, **options))
    return tuple(found)
