"""Feasibility against plain enumeration, on the border of reach, at size, and out of time."""

import time
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.domain.problem import Problem
from setsolver.domain.validate import best_look, broken_rules
from setsolver.solver import feasible
from setsolver.solver.feasible import possible
from setsolver.solver.ruleset import Ruleset
from tests.solver.small import any_set, small_problem


@settings(max_examples=1500, deadline=None)
@given(st.integers(0, 10**6), st.sampled_from([0.2, 0.5, 1.0]))
def test_verdict_equals_trying_all_sets_and_its_witness_is_valid(seed, tight):
    problem = small_problem(seed, tight=tight)
    verdict = possible(Ruleset.of(problem))
    assert verdict.answer is any_set(problem)
    if verdict.answer:
        look = best_look(problem, verdict.chosen)
        assert broken_rules(problem, verdict.chosen, verdict.roles, look) == []


@pytest.mark.parametrize("changes", [{"MOST_MISSES": 0}, {"MOST_MISSES": 1}, {"MOST_WITH_TONES": 0}, {"HANDFUL": 0}])
def test_whichever_way_the_search_turns_the_verdict_is_the_same(monkeypatch, changes):
    """From looks to frames at once or late, tones handed on or not, handfuls asked or not: wished sets, too."""
    for name, value in changes.items():
        monkeypatch.setattr(feasible, name, value)
    wished = 0
    for seed in range(150):
        problem = small_problem(seed, tight=0.5)
        frames = np.setdiff1d(problem.frame, problem.exclude)
        asked = [problem]
        if len(frames) >= problem.size:
            asked.append(problem.replaced(include=np.random.default_rng(seed).permutation(frames)[: problem.size]))
        for one in asked:
            answer = possible(Ruleset.of(one)).answer
            assert answer is any_set(one), seed
            wished += answer and len(one.include) == one.size
    assert wished > 5


def line(tones, reach, **more):
    """Return N frames on one tone axis, all wanted."""
    arrays = {
        "size": len(tones),
        "gain": np.ones((len(tones), 1)),
        "tone": np.array(tones)[:, None],
        "tone_reach": [reach],
    }
    return Problem.from_arrays(arrays | more)


@pytest.mark.parametrize("shift", [0.0, 0.1, 1e3, 1e-7, 1 / 3])
def test_a_set_exactly_on_the_border_of_reach_is_possible(shift):
    problem = line([0.1 + shift, 0.7 + shift], 0.3)
    assert possible(Ruleset.of(problem)).answer is True
    assert possible(Ruleset.of(line([0.1 + shift, 0.7 + shift], 0.3 - 1e-6))).answer is False


def test_an_infinite_reach_asks_nothing():
    assert possible(Ruleset.of(line([-1e9, 1e9], np.inf))).answer is True


@pytest.mark.parametrize(
    "changes",
    [
        {"role_min": [2, 2]},
        {"role_max": [1, 1]},
        {"role_min": [0, 2], "gain": [[1.0, np.nan]] * 6},
        {"gain": np.full((6, 2), np.nan)},
        {"include": [0, 1, 2], "conflict": [[0, 1]]},
        {"include": [0, 1], "tone": np.arange(6.0)[:, None] * 5},
        {"group": [[0] * 6], "group_cap": [2]},
        {"include": [0, 1], "group": [[0, 0, 1, 1, 2, 2]], "group_cap": [1]},
    ],
)
def test_what_counting_refuses_is_asked_of_no_solver(monkeypatch, changes):
    """Sets of 3 from 6 frames: too much is needed, too little may be, nobody can, or wishes are in each other's way."""
    arrays = {"size": 3, "gain": np.ones((6, 2)), "tone": np.zeros((6, 1)), "tone_reach": [1.0]}
    monkeypatch.setattr(feasible, "set_among", lambda *_: pytest.fail("it was counted already"))
    assert possible(Ruleset.of(Problem.from_arrays(arrays | changes))).answer is False


def test_more_wishes_than_places_are_refused_before_any_question(monkeypatch):
    rules = Ruleset.of(Problem.from_arrays({"size": 3, "gain": np.ones((6, 2))}))
    monkeypatch.setattr(feasible, "usable", lambda *_: pytest.fail("it was counted already"))
    assert possible(replace(rules, include=np.arange(4))).answer is False
    assert possible(replace(rules, role_min=np.array([2, 2]))).answer is False


def wide_catalog(total, seed):
    rng = np.random.default_rng(seed)
    scene = np.sort(rng.integers(0, total // 40, total))
    return {
        "size": 12,
        "gain": np.where(rng.random((total, 3)) < 0.3, np.nan, 1.0),
        "role_min": [2, 2, 2],
        "tone": rng.normal(0, 8, (total, 4)) + rng.normal(0, 4, (scene.max() + 1, 4))[scene],
        "group": np.stack([np.arange(total) // 3, scene]),
        "group_cap": [1, 2],
        "conflict": np.stack([np.arange(0, total - 1, 9), np.arange(1, total, 9)], axis=1),
    }


@pytest.mark.parametrize("reach", [0.3, 1.0, 1.6, 1.8, 4.0, 16.0])
def test_five_thousand_renditions_are_decided_within_seconds(reach):
    problem = Problem.from_arrays(wide_catalog(5000, 3) | {"tone_reach": [reach] * 4})
    verdict = possible(Ruleset.of(problem), deadline=time.perf_counter() + 10)
    assert verdict.answer is (reach >= 1.8)


def test_a_deadline_gone_by_is_told_as_unknown():
    problem = Problem.from_arrays(wide_catalog(5000, 3) | {"tone_reach": [4.0] * 4})
    assert possible(Ruleset.of(problem), deadline=time.perf_counter() - 1).answer is None


@pytest.mark.parametrize("roles", [7, 8])
def test_many_roles_are_counted_by_a_shorter_list(roles):
    gain = np.where(np.eye(roles) > 0, 1.0, np.nan)
    problem = Problem.from_arrays({"size": roles, "gain": gain, "role_min": np.ones(roles)})
    assert possible(Ruleset.of(problem)).answer is True
    gain[0, 0], gain[0, 1] = np.nan, 1.0
    assert possible(Ruleset.of(problem.replaced(gain=gain))).answer is False


def hidden_clash(total, reach, *, near=False):
    """Return a problem that counts think possible: two closes are wanted, but all thirty conflict with one another.

    With ``near``, only closes of similar tone conflict, so that the clash is a matter of look too.
    """
    rng = np.random.default_rng(0)
    gain, tone = np.ones((total, 2)), rng.normal(0, 6, (total, 4))
    gain[30:, 1] = np.nan
    pairs = [
        (i, j) for i, j in combinations(range(30), 2) if not near or np.ptp(tone[[i, j]], axis=0).max() <= 2 * reach
    ]
    return Problem.from_arrays(
        {"size": 8, "gain": gain, "role_min": [2, 2], "tone": tone, "tone_reach": [reach] * 4, "conflict": pairs}
    )


@pytest.mark.parametrize("total", [300, 5000])
@pytest.mark.parametrize("near", [True, False])
def test_a_clash_that_counts_do_not_see_is_proven_too(total, near):
    verdict = possible(Ruleset.of(hidden_clash(total, 4.0, near=near)), deadline=time.perf_counter() + 120)
    assert verdict.answer is False


def test_caps_that_cross_are_decided():
    rng = np.random.default_rng(1)
    total = 600
    arrays = {"size": 8, "gain": np.where(rng.random((total, 3)) < 0.5, np.nan, 1.0), "role_min": [2, 2, 2]}
    arrays |= {"group": np.stack([np.arange(total) % 9, np.arange(total) % 8]), "group_cap": [1, 1]}
    arrays |= {"tone": rng.normal(0, 6, (total, 4))}
    answers = [
        possible(
            Ruleset.of(Problem.from_arrays(arrays | {"tone_reach": [reach] * 4})), deadline=time.perf_counter() + 60
        )
        for reach in (1.0, 2.0, 8.0)
    ]
    assert [verdict.answer for verdict in answers] == [False, False, True]


@pytest.mark.parametrize("seed", range(60))
def test_a_handful_of_a_role_is_judged_by_itself_and_never_wrongly(seed):
    """Of a few frames that can play a role several are wanted; foes and tones among them decide."""
    rng = np.random.default_rng(seed)
    total, few = 10, 5
    gain = np.column_stack([np.ones(total), np.where(np.arange(total) < few, 1.0, np.nan)])
    pairs = [(a, b) for a in range(few) for b in range(a + 1, few) if rng.random() < 0.6]
    problem = Problem.from_arrays(
        {
            "size": 4,
            "frame": np.arange(total),
            "gain": gain,
            "role_min": [1, int(rng.integers(2, 4))],
            "role_max": [4, 4],
            "tone": np.round(rng.normal(0, 2, (total, 1)), 1),
            "tone_weight": [1.0],
            "tone_slack": [0.0],
            "tone_reach": [float(rng.uniform(0.5, 3))],
            "conflict": np.array(pairs, dtype=np.int64).reshape(-1, 2),
            "include": rng.choice(total, int(rng.integers(0, 2)), replace=False),
        }
    )
    assert possible(Ruleset.of(problem)).answer is any_set(problem)
