"""Prices of rules against plain enumeration."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from setsolver.domain.problem import Problem
from setsolver.domain.solution import Choice
from setsolver.domain.validate import best_look
from setsolver.solver import price as module
from setsolver.solver.feasible import possible
from setsolver.solver.price import of_rule, priced_rules
from setsolver.solver.ruleset import Rule, Ruleset
from setsolver.solver.search import Found, search
from tests.solver.small import best_by_trying, scored, small_problem
from tests.solver.test_conflict import dropped


def solved(seed):
    problem = small_problem(seed, most=7)
    best = search(problem).choice
    assume(best is not None)
    return problem, best


@settings(max_examples=120, deadline=None)
@given(st.integers(0, 10**6))
def test_the_price_of_each_rule_is_what_the_best_set_gains_without_it(seed):
    problem, best = solved(seed)
    for rule in priced_rules(problem):
        price = of_rule(problem, best, rule)
        (relaxed,) = dropped(problem, [rule])
        relaxed = replace(relaxed, variety_weight=problem.variety_weight, variety_kind=problem.variety_kind)
        truth = best_by_trying(relaxed) - best.score
        assert price.about == str(rule)
        assert price.proven
        assert price.points == pytest.approx(truth, abs=1e-6)
        assert price.least - 1e-6 <= truth <= price.most + 1e-6


def test_a_worked_example():
    problem = Problem.from_arrays({"size": 2, "gain": [[5.0], [4.0], [3.0], [1.0]], "conflict": [[0, 1]]})
    best = search(problem).choice  # frames 0 and 2: 8 points
    assert of_rule(problem, best, Rule("conflict")).points == pytest.approx(1)


def test_out_of_time_a_price_is_a_range():
    rng = np.random.default_rng(1)
    problem = Problem.from_arrays(
        {"size": 6, "gain": rng.normal(10, 1, (400, 1)), "tone": rng.normal(0, 5, (400, 3)), "tone_reach": [3.0] * 3,
         "tone_weight": [1.0] * 3, "group": [np.arange(400) // 100], "group_cap": [2]}
    )  # fmt: skip
    verdict = possible(Ruleset.of(problem))
    score = scored(problem, verdict.chosen, verdict.roles)
    some = Choice(verdict.chosen, verdict.roles, tuple(best_look(problem, verdict.chosen)), score, score + 100)
    price = of_rule(problem, some, Rule("tone_reach", 0), stop=lambda: True)
    assert price.least <= price.points <= price.most
    assert not price.proven


@pytest.mark.parametrize("open_points", [0.25, 4.0])
def test_what_a_rule_costs_at_least_counts_from_the_bound_of_a_best_set_that_is_not_proven(open_points):
    problem = Problem.from_arrays({"size": 1, "gain": [[5.0], [2.0]], "exclude": [0]})
    best = search(problem).choice
    price = of_rule(problem, replace(best, bound=best.score + open_points), Rule("exclude"))
    assert price.points == pytest.approx(3.0)
    assert price.least == pytest.approx(max(0.0, 3.0 - open_points))
    assert price.most >= 3.0
    assert not price.proven


@pytest.mark.parametrize("best_proven", [True, False])
@pytest.mark.parametrize(
    ("gains", "finished", "better_proven", "exact"),
    [
        (0.0, True, False, True),  # nothing better, and the search has looked everywhere
        (0.0, False, True, False),
        (2.0, False, True, True),  # stopped, but what it found is as good as its bound
        (2.0, True, False, False),
    ],
)
def test_a_price_is_exact_where_both_sets_that_make_it_are(
    monkeypatch, best_proven, gains, finished, better_proven, exact
):
    problem = Problem.from_arrays({"size": 2, "gain": [[5.0], [4.0], [3.0], [1.0]], "conflict": [[0, 1]]})
    best = search(problem).choice
    score = best.score + gains
    better = replace(best, score=score, bound=score + (0.0 if better_proven else 5.0))
    best = replace(best, bound=best.score + (0.0 if best_proven else 5.0))
    monkeypatch.setattr(module, "search", lambda *_, **__: Found(better, better.bound, 1, finished=finished))
    price = of_rule(problem, best, Rule("conflict"))
    assert price.points == pytest.approx(gains)
    assert price.proven == (best_proven and exact)


def test_every_rule_that_can_be_dropped_has_a_price():
    """By hand: of three roles, axes and groups one each that asks nothing of sets of 3, and two wishes."""
    arrays = {
        "size": 3,
        "gain": np.ones((9, 3)),
        "role_min": [1, 0, 1],
        "role_max": [3, 2, 1],
        "tone": np.zeros((9, 3)),
        "tone_reach": [1.0, np.inf, 0.5],
        "group": np.zeros((3, 9), dtype=np.int64),
        "group_cap": [3, 2, 4],
        "include": [1, 2],
    }
    rules = ["role_min[0]", "role_min[2]", "role_max[1]", "role_max[2]", "tone_reach[0]", "tone_reach[2]"]
    rules += ["group_cap[1]", "include[0]", "include[1]"]
    told = priced_rules(Problem.from_arrays(arrays))
    assert [str(rule) for rule in told] == rules
    more = {"conflict": [[3, 4], [5, 6]], "exclude": [7]}
    told = priced_rules(Problem.from_arrays(arrays | more))
    assert [str(rule) for rule in told] == [*rules, "conflict", "exclude"]
    assert [str(rule) for rule in priced_rules(Problem.from_arrays({"size": 1, "gain": [[1.0]]}))] == []
