"""Whether any set answers a question, against plain enumeration."""

import time

import numpy as np
import pytest

from setsolver.domain.problem import Problem
from setsolver.domain.validate import broken_rules
from setsolver.solver import existence, search
from setsolver.solver.existence import any_set
from setsolver.solver.polish import best_look_within
from setsolver.solver.restriction import Restriction
from tests.solver.small import all_sets, small_problem
from tests.solver.test_feasible import wide_catalog


def question_of(problem, seed):
    """Return a question with some of everything that a question may ask."""
    rng = np.random.default_rng(seed)
    ids, axes = np.unique(problem.frame), problem.tone.shape[1]
    some = frozenset(rng.choice(ids, min(len(ids), problem.size), replace=False).tolist())
    differ = ((some, int(rng.integers(0, problem.size))),) if rng.random() < 0.6 else ()
    barred = frozenset(rng.choice(ids, 1).tolist()) if rng.random() < 0.4 else frozenset()
    boxes = ()
    if axes and rng.random() < 0.6:
        ends = np.sort(rng.normal(0, 6, (2, 2, axes)), axis=1)
        ends[0, 0, 0] = -np.inf
        boxes = tuple((low, high) for low, high in ends)
    return Restriction(differ=differ, boxes=boxes, barred=barred)


def answers(problem, question):
    """Return the sets that answer the question."""
    boxes = question.boxes or [(np.full(problem.tone.shape[1], -np.inf), np.full(problem.tone.shape[1], np.inf))]
    found = []
    for chosen, roles in all_sets(problem):
        frames = {int(f) for f in problem.frame[list(chosen)]}
        if frames & question.barred or any(len(frames & some) > most for some, most in question.differ):
            continue
        if any(best_look_within(problem, chosen, low, high) is not None for low, high in boxes):
            found.append((chosen, roles))
    return found


@pytest.mark.parametrize("seed", range(80))
def test_a_set_is_found_where_there_is_one(seed):
    problem = small_problem(seed)
    question = question_of(problem, seed)
    verdict, truth = any_set(problem, question), answers(problem, question)
    assert verdict.answer is bool(truth)
    if verdict.answer:
        assert sorted(verdict.chosen) in [sorted(chosen) for chosen, _ in truth]


@pytest.mark.parametrize("seed", range(80, 120))
def test_the_search_ends_where_no_set_answers(seed):
    problem = small_problem(seed, tight=0.4)
    question = question_of(problem, seed)
    found = search(problem, restriction=question)
    assert found.finished
    assert (found.choice is not None) is bool(answers(problem, question))


def test_a_set_that_no_first_look_gives_is_found_and_proven():
    """Two frames of one tone each must be in; all others are far away: no look drawn at random serves them."""
    frames = 400
    rng = np.random.default_rng(5)
    tone = rng.normal(0, 1, (frames, 1))
    tone[:2, 0] = 90.0, 91.0
    tone[2:6, 0] = 95.0
    gain = np.column_stack([rng.uniform(0, 10, frames), np.where(np.arange(frames) < 2, 5.0, np.nan)])
    problem = Problem.from_arrays(
        {
            "size": 4,
            "frame": np.arange(frames),
            "gain": gain,
            "role_min": [0, 2],
            "role_max": [4, 4],
            "tone": tone,
            "tone_weight": [1.0],
            "tone_slack": [0.0],
            "tone_reach": [3.0],
        }
    )
    found = search(problem)
    assert found.choice is not None
    assert found.choice.proven
    assert {0, 1} <= set(found.choice.chosen) <= set(range(6))
    assert not broken_rules(problem, found.choice.chosen, found.choice.roles, found.choice.look)


def test_a_deadline_is_kept_and_time_spent_compiling_is_added_to_it(monkeypatch):
    problem, over = Problem.from_arrays(wide_catalog(1000, 3) | {"tone_reach": [4.0] * 4}), time.perf_counter() - 1.0
    monkeypatch.setattr(existence, "make_ready", lambda part: 0.0)
    assert any_set(problem, Restriction(), deadline=over).answer is None
    assert any_set(problem, Restriction()).answer is True
    monkeypatch.setattr(existence, "make_ready", lambda part: {"clash": 3600.0}[part])
    assert any_set(problem, Restriction(), deadline=over).answer is True
