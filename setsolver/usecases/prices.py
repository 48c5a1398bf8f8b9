"""What each hard rule of a brief costs the best set, in points."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from setsolver.domain.outcome import Price
from setsolver.solver import price
from setsolver.usecases.words import names_of, rule_said

if TYPE_CHECKING:
    from setsolver.domain.solution import Choice
    from setsolver.rules import Assembly
    from setsolver.usecases.effort import Effort

__all__ = ["rule_prices"]


def rule_prices(assembly: Assembly, best: Choice, effort: Effort) -> tuple[Price, ...]:
    """Return the points that dropping each hard rule would gain, the dearest first, within the time limit."""
    rules = price.priced_rules(assembly.problem)
    names = names_of(assembly)
    until = None if effort.time_limit is None else time.perf_counter() + effort.time_limit
    found = []
    for done, rule in enumerate(rules):
        now = time.perf_counter()
        deadline = None if until is None else now + max(0.0, until - now) / (len(rules) - done)
        answer = price.of_rule(
            assembly.problem,
            best,
            rule,
            deadline=deadline,
            seed=effort.seed,
            workers=effort.workers,
            stop=effort.stop,
        )
        says = f'without the rule "{rule_said(assembly, str(rule), names)}" the best set would gain {_gained(answer)}'
        found.append(Price(about=str(rule), says=says, points=answer.points, proven=answer.proven))
    return tuple(sorted(found, key=lambda priced: -(priced.points or 0.0)))


def _gained(answer: price.Price) -> str:
    if answer.points is None:
        return "an unknown number of points"
    if answer.proven:
        return f"{answer.points:.1f} points" if answer.points > 0 else "nothing"
    return f"at least {answer.points:.1f} points"
