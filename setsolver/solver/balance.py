"""Alternates on the trade-off between points and tonal effort: other weights asked, the problem's own weights reported.

Let G be a set's gains plus variety and E its tonal effort at its best look, under the problem's weights; its score is G
- E. With all tone weights times f, the search maximises G - f E, and proves G - f E <= B for every set of the question.
All weights change by one factor, so a set's best look stays its best look. Of the set S that it finds, under the true
weights:

* ``less_effort`` (f = 2): every set T with E(T) <= E(S) scores G(T) - E(T) <= B + E(T) <= B + E(S). That is the
  bound of the answer: *no set that asks for as little correction scores more*.
* ``more_effort`` (f = 1/2): every set T with E(T) >= E(S) scores at most B - E(T)/2 <= B - E(S)/2: *no set that
  asks for as much correction scores more*. Such a set shows what tone costs in gains and variety: it has the most of
  these among all sets that need no more correction than it does.

Both bounds equal the score where the search was finished.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from setsolver.domain.validate import score_terms
from setsolver.solver.search import Found, Restriction, search

if TYPE_CHECKING:
    from setsolver.domain.problem import Problem

__all__ = ["FACTORS", "find"]

FACTORS = {"less_effort": 2.0, "more_effort": 0.5}
"""Kind -> factor on all tone weights."""


def find(problem: Problem, kind: str, restriction: Restriction, options: dict[str, Any]) -> Found:
    """Return the best set under the kind's weights, scored and bounded by the problem's own.

    Parameters
    ----------
    restriction, options : passed on to ``search``.
    """
    factor = FACTORS[kind]
    found = search(replace(problem, tone_weight=problem.tone_weight * factor), restriction=restriction, **options)
    choice = found.choice
    if choice is None:
        return found
    terms = score_terms(problem, choice.chosen, choice.roles, choice.look)
    bound = max(terms.score, found.bound + (factor - 1.0) * float(terms.effort.sum()))
    return replace(found, choice=replace(choice, score=terms.score, bound=bound, kind=kind), bound=bound)
