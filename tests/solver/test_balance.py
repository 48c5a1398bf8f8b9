"""Bounds of sets on the trade-off where the search was stopped, and their points by the weights as they are."""

from dataclasses import replace

import numpy as np
import pytest

from setsolver.domain.validate import best_look, score_terms
from setsolver.solver import balance
from setsolver.solver.restriction import Restriction
from setsolver.solver.search import Found, search
from tests.solver.small import all_sets, scored, small_problem


@pytest.mark.parametrize("beyond", [0.0, 0.5, 6.0])
@pytest.mark.parametrize("kind", ["less_effort", "more_effort"])
def test_no_set_of_as_little_or_as_much_effort_scores_above_the_bound_of_a_stopped_search(monkeypatch, kind, beyond):
    """The search's own bound lies so far above its score, as where it was stopped; each set is tried."""
    (factor, sign), near = {"less_effort": (2.0, 1), "more_effort": (0.5, -1)}[kind], 0
    for seed in range(60):
        problem = small_problem(seed)
        truth = search(replace(problem, tone_weight=problem.tone_weight * factor))

        def stopped(asked, restriction, problem=problem, truth=truth):
            assert np.array_equal(asked.tone_weight, problem.tone_weight * factor)
            assert restriction == Restriction()
            return replace(truth, bound=truth.bound + beyond, finished=beyond == 0.0)

        monkeypatch.setattr(balance, "search", stopped)
        found = balance.find(problem, kind, Restriction(), {})
        if truth.choice is None:
            assert found == replace(truth, bound=truth.bound + beyond, finished=beyond == 0.0)
            continue
        choice = found.choice
        terms = score_terms(problem, choice.chosen, choice.roles, choice.look)
        mine = terms.effort.sum()
        assert (choice.kind, choice.score, choice.bound) == (kind, terms.score, found.bound)
        assert found.bound >= choice.score
        assert found.bound == pytest.approx(max(choice.score, truth.bound + beyond + (factor - 1) * mine), abs=1e-9)
        for chosen, roles in all_sets(problem):
            look = best_look(problem, chosen)
            effort = score_terms(problem, chosen, roles, look).effort.sum()
            if sign * effort <= sign * mine:
                near += 1
                assert scored(problem, chosen, roles) <= found.bound + 1e-6
    assert near > 100


def test_where_there_is_no_set_what_the_search_tells_is_handed_on(monkeypatch):
    told = Found(None, 7.0, 12, finished=False)
    monkeypatch.setattr(balance, "search", lambda *_, **__: told)
    assert balance.find(small_problem(0), "less_effort", Restriction(), {}) == told
