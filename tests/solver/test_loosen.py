"""The smallest loosening of one rule: whichever way its steps are halved, and out of time."""

import time

import numpy as np
import pytest

from setsolver.domain.problem import Problem
from setsolver.solver import loosen
from setsolver.solver.loosen import Loosened, loosened
from setsolver.solver.ruleset import Rule, rules_of
from tests.solver.small import any_set, small_problem
from tests.solver.test_feasible import wide_catalog


@pytest.mark.parametrize("most", range(1, 18))
def test_the_first_step_that_holds_is_found_with_as_few_questions_as_halving_takes(most):
    for first in range(1, most + 1):
        asked: list[int] = []

        def holds(steps, first=first, asked=asked):
            asked.append(steps)
            return steps >= first

        assert loosen._first(most, holds) == first
        assert len(asked) <= np.ceil(np.log2(most)) if most > 1 else not asked
        assert all(0 < steps < most for steps in asked)


@pytest.mark.parametrize("seed", range(60))
def test_a_middling_difference_is_the_median_of_those_between(seed):
    rng = np.random.default_rng(seed)
    tone = np.unique(np.round(rng.normal(0, 4, int(rng.integers(2, 12))), 1))
    small, enough = sorted(rng.uniform(0, 12, 2))
    between = sorted(b - a for a in tone for b in tone if small + 1e-6 < b - a < enough - 1e-6)
    found = loosen._between(tone, small, enough)
    assert found == (pytest.approx(between[len(between) // 2]) if between else None)


def test_differences_no_larger_than_what_feasibility_forgives_are_none():
    tone = np.array([0.0, 1.0, 3.0])
    assert loosen._between(tone, 1.0, 3.0) == 2.0
    assert loosen._between(tone, 1.0 - 5e-9, 2.0) == 1.0
    assert loosen._between(tone, 1.0 - 3e-9, 2.0) is None
    assert loosen._between(tone, 1.0, 2.0 + 3e-9) is None
    assert loosen._between(tone, 1.0, 2.0 + 5e-9) == 2.0


def test_of_too_many_differences_the_middle_of_their_range_is_asked_and_the_answer_is_the_same(monkeypatch):
    compared = 0
    for seed in range(80):
        problem = small_problem(seed, most=8, tight=0.3)
        rules = [rule for rule in rules_of(problem) if rule.key == "tone_reach"]
        if any_set(problem) or not rules:
            continue
        before = [loosened(problem, rule) for rule in rules]
        with monkeypatch.context() as patch:
            patch.setattr(loosen, "MOST_DIFFERENCES", 1)
            assert loosen._between(np.array([0.0, 1.0, 2.5]), 0.2, 2.7) == pytest.approx(1.45, abs=1e-6)
            assert [loosened(problem, rule) for rule in rules] == before
        compared += any(one.value is not None for one in before)
    assert compared > 5


@pytest.mark.parametrize(
    ("rule", "value"),
    [
        (Rule("role_min", 0), 1.0),
        (Rule("role_max", 1), 3.0),
        (Rule("gain", 0), 1.0),
        (Rule("size"), 3.0),
        (Rule("tone_reach", 0), None),
        (Rule("conflict"), None),
    ],
)
def test_by_hand(rule, value):
    """Four frames, of which one can open; two openings and at most two closings are asked of sets of four."""
    gain = np.array([[1.0, 1.0], [np.nan, 1.0], [np.nan, 1.0], [np.nan, 1.0]])
    arrays = {"size": 4, "gain": gain, "role_min": [2, 0], "role_max": [4, 2], "tone": np.zeros((4, 1))}
    problem = Problem.from_arrays(arrays | {"tone_reach": [1.0], "conflict": [[0, 1]]})
    alone = {
        "role_min": {"role_max": [4, 3], "conflict": np.zeros((0, 2), dtype=np.int64)},
        "role_max": {"role_min": [1, 0], "conflict": np.zeros((0, 2), dtype=np.int64)},
        "gain": {"conflict": np.zeros((0, 2), dtype=np.int64)},
        "size": {"role_min": [1, 0]},
    }
    found = loosened(problem.replaced(**alone.get(rule.key, {})), rule)
    assert found == Loosened(value)


def test_out_of_time_nothing_is_sure():
    problem = Problem.from_arrays(wide_catalog(1000, 3) | {"tone_reach": [0.3, 4.0, 4.0, 4.0]})
    assert loosened(problem, Rule("tone_reach", 0), deadline=time.perf_counter() - 1.0) == Loosened(None, sure=False)
