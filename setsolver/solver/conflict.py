"""Why no set exists: a minimal set of rules that cannot hold together, and the smallest way out by each alone."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from setsolver.domain.solution import Clash
from setsolver.solver.loosen import loosened
from setsolver.solver.ready import make_ready
from setsolver.solver.shrink import minimal_clash
from setsolver.solver.wording import Names, rule_in_words, way_out

if TYPE_CHECKING:
    from collections.abc import Callable

    from setsolver.domain.problem import Problem
    from setsolver.solver.ruleset import Rule

__all__ = ["find"]

NOT_MINIMAL = "time ran out: fewer rules may clash already"
NOT_KNOWN = "time ran out before a way out was found"
NO_HELP = "loosening this alone does not help"


def find(
    problem: Problem,
    *,
    seed: int = 0,
    deadline: float | None = None,
    names: Names | None = None,
    stop: Callable[[], bool] | None = None,
) -> tuple[Clash, ...]:
    """Return rules that cannot hold together, none to spare; () where a set exists or time ran out before a proof.

    Each clash says the rule and its way out: the smallest loosening of this rule alone, all other rules of the problem
    kept, under which a set exists. Where other rules clash among themselves too, no single rule may help: ``loosened``
    is then None. Where time runs out, ``says`` says what is not known.

    Parameters
    ----------
    deadline : moment of ``time.perf_counter()`` at which to give up; None = take the time that it takes.
    names : what roles, tone axes, group rows and frames are called.
    stop : asked before each question to the solver; once it is True, time has run out.
    """
    waited = make_ready("clash")
    deadline = None if deadline is None else deadline + waited
    names = names or Names()
    rules, minimal = minimal_clash(problem, seed=seed, deadline=deadline, stop=stop)
    found = []
    for rule in rules:
        over = stop is not None and stop()
        found.append(_clash(problem, rule, names, seed, time.perf_counter() if over else deadline, minimal=minimal))
    return tuple(found)


def _clash(problem: Problem, rule: Rule, names: Names, seed: int, deadline: float | None, *, minimal: bool) -> Clash:
    found = loosened(problem, rule, seed=seed, deadline=deadline)
    way = way_out(problem, rule, found.value, names) or (NO_HELP if found.sure else NOT_KNOWN)
    parts = [rule_in_words(problem, rule, names), f"way out: {way}" if found.value is not None else way]
    return Clash(str(rule), "; ".join(parts + [NOT_MINIMAL] * (not minimal)), found.value)
