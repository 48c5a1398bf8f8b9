"""The search against plain enumeration, an independent solver, and its own promises."""

import sys
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings

from setsolver.domain.problem import Problem
from setsolver.domain.validate import broken_rules, score_terms
from setsolver.solver import Restriction, search, solve
from tests.solver.highs import by_highs
from tests.solver.problems import best_of, problems, random_problem
from tests.solver.small import best_by_trying, small_problem


def truth(problem, boxes=(), keep=lambda _: True):
    sets = (c for c in combinations(range(problem.renditions), problem.size) if keep(set(problem.frame[list(c)])))
    return best_of(problem, sets, boxes)[0]


def agree(found, best):
    """Assert that a finished search says exactly what enumeration says."""
    assert found.finished
    if best == -np.inf:
        assert found.choice is None
        assert found.bound == -np.inf
    else:
        assert found.choice is not None
        assert found.choice.score == pytest.approx(best, abs=1e-6)
        assert found.choice.proven
        assert found.bound >= best - 1e-6


@pytest.mark.parametrize("block", range(10))
def test_equals_trying_all(block):
    for seed in range(100 * block, 100 * block + 100):
        problem = random_problem(seed)
        agree(search(problem, workers=1), truth(problem))


@pytest.mark.slow
@pytest.mark.parametrize("block", range(10, 40))
def test_equals_trying_all_at_length(block):
    for seed in range(100 * block, 100 * block + 100):
        problem = random_problem(seed)
        agree(search(problem, workers=1), truth(problem))


@pytest.mark.parametrize("block", range(4))
def test_equals_trying_all_on_tight_problems(block):
    for seed in range(50 * block, 50 * block + 50):
        problem = small_problem(seed, tight=0.6)
        agree(search(problem, workers=1), best_by_trying(problem))


@settings(max_examples=60, deadline=None)
@given(problems)
def test_equals_trying_all_on_any_problem(problem):
    agree(search(problem, workers=1), truth(problem))


def larger(seed, total=60, **changes):
    """Return a problem of a few scenes too large to enumerate."""
    rng = np.random.default_rng(seed)
    scene = np.sort(rng.integers(0, 6, total))
    arrays = {
        "size": 5,
        "gain": rng.normal(20, 6, (total, 3)),
        "role_min": [1, 1, 0],
        "role_max": [4, 2, 3],
        "tone": rng.normal(0, 4, (6, 2))[scene] + rng.normal(0, 1.5, (total, 2)),
        "tone_weight": [1.0, 0.7],
        "tone_slack": [0.5, 1.0],
        "tone_reach": [5.0, 6.0],
        "place": rng.normal(0, 1, (total, 4)),
        "variety_weight": 6.0,
        "group": [scene],
        "group_cap": [2],
        "conflict": rng.choice(total, (4, 2), replace=False),
    }
    return Problem.from_arrays({**arrays, **changes})


def hard(seed, **changes):
    """Return a problem that takes some rounds: many scenes that clash in tone, small differences in gain."""
    rng = np.random.default_rng(seed)
    scene = np.sort(rng.integers(0, 25, 250))
    place = rng.normal(0, 1, (25, 8))[scene] + rng.normal(0, 0.4, (250, 8))
    arrays = {
        "size": 6,
        "gain": 20 + rng.normal(0, 3, (250, 3)),
        "tone": rng.normal(0, 5, (25, 4))[scene] + rng.normal(0, 1.5, (250, 4)),
        "tone_weight": [1.0, 0.7, 1.0, 0.8],
        "tone_slack": [0.5, 1.0, 1.0, 1.0],
        "tone_reach": [7.0, 9.0, 8.0, 7.0],
        "place": place / np.linalg.norm(place, axis=1, keepdims=True),
        "variety_weight": 12.0,
    }
    return larger(seed, 250, **{**arrays, "group": [scene], "group_cap": [1], "conflict": [[0, 99]], **changes})


@pytest.mark.parametrize("seed", range(6))
def test_equals_highs_where_linear(seed):
    problem = larger(seed, total=30, variety_weight=0.0, conflict=[[0, 9], [4, 20]])
    assert search(problem).choice.score == pytest.approx(by_highs(problem), abs=1e-5)


@pytest.mark.parametrize("kind", ["squared", "euclidean"])
@pytest.mark.parametrize("seed", range(3))
def test_the_answer_does_not_depend_on_the_number_of_workers(seed, kind):
    problem = hard(seed, variety_kind=kind)
    one, three = search(problem, workers=1), search(problem, workers=3)
    assert one == three
    assert one.nodes > 200
    assert search(problem, seed=5).choice.score == pytest.approx(one.choice.score, abs=1e-6)


@pytest.mark.parametrize("workers", [1, 2, 3])
def test_threads_are_made_once_and_ended(monkeypatch, workers):
    searching, made, ended = sys.modules["setsolver.solver.search"], [], []

    class Pool(ThreadPoolExecutor):
        def __init__(self, count):
            made.append(count)
            super().__init__(count)

        def shutdown(self, *words, **options):
            ended.append(1)
            super().shutdown(*words, **options)

    monkeypatch.setattr(searching, "ThreadPoolExecutor", Pool)
    assert search(hard(2), workers=workers).nodes > 200
    assert made == [workers] * (workers > 1)
    assert len(ended) == len(made)


@pytest.mark.parametrize("seed", range(40))
def test_only_sets_above_the_floor_are_found(seed):
    problem = random_problem(seed)
    best = truth(problem)
    if best == -np.inf:
        assert search(problem, floor=0.0).choice is None
        return
    agree(search(problem, floor=best - 0.5), best)
    above = search(problem, floor=best + 0.5)
    assert above.choice is None
    assert above.finished
    assert above.bound == best + 0.5


@pytest.mark.parametrize("seed", range(60))
def test_restrictions_equal_trying_all_under_them(seed):
    problem = random_problem(seed)
    best = search(problem).choice
    if best is None:
        return
    axes, frames = problem.tone.shape[1], frozenset(problem.frame[list(best.chosen)].tolist())
    most = problem.size - 1 - seed % 2
    differ = search(problem, restriction=Restriction(differ=((frames, max(0, most)),)))
    agree(differ, truth(problem, keep=lambda s: len(s & frames) <= max(0, most)))
    lead = problem.frame[best.chosen[0]]
    barred = search(problem, restriction=Restriction(barred=frozenset({int(lead)})))
    agree(barred, truth(problem, keep=lambda s: lead not in s))
    rng = np.random.default_rng(seed)
    split = rng.uniform(-3, 3, axes)
    boxes = [(np.full(axes, -np.inf), split - 1), (split + 1, np.full(axes, np.inf))]
    agree(search(problem, restriction=Restriction(boxes=tuple(boxes))), truth(problem, boxes))


def test_a_box_that_holds_no_look_gives_no_set_and_takes_none_from_others():
    problem = larger(2)
    best = search(problem).choice
    around = (np.array(best.look) - 0.5, np.array(best.look) + 0.5)
    aside = np.array([1.0, 0.0])
    nowhere = (np.array(best.look) + aside, np.array(best.look) - aside)
    none = search(problem, restriction=Restriction(boxes=(nowhere,)))
    assert (none.choice, none.bound, none.finished) == (None, -np.inf, True)
    for boxes in ((around, nowhere), (nowhere, around)):
        assert search(problem, restriction=Restriction(boxes=boxes)).choice.score == pytest.approx(best.score, abs=1e-9)


def test_a_known_set_is_a_start_and_a_broken_one_is_passed_over():
    problem = larger(1)
    best = search(problem).choice
    assert search(problem, start=[best]).choice.score == pytest.approx(best.score, abs=1e-9)
    broken = replace(best, chosen=(0,) * 5)
    assert search(problem, start=[broken]).choice.score == pytest.approx(best.score, abs=1e-9)


def test_a_time_limit_gives_the_best_set_so_far_with_an_honest_bound():
    problem = hard(2)
    best = search(problem).choice
    stopped = search(problem, deadline=time.perf_counter())
    assert not stopped.finished
    assert stopped.choice is not None
    assert not broken_rules(problem, stopped.choice.chosen, stopped.choice.roles, stopped.choice.look)
    assert stopped.choice.score <= best.score + 1e-6 <= stopped.bound + 2e-6
    assert solve(problem, time_limit=0.0).status == "feasible"


@pytest.mark.parametrize("rounds", [0, 1, 2])
def test_stopping_after_any_round_keeps_the_bound_honest(rounds):
    problem = hard(3)
    best, asked = search(problem).choice.score, []
    stopped = search(problem, stop=lambda: asked.append(1) or len(asked) > rounds)
    assert stopped.choice.score <= best + 1e-6
    assert stopped.bound >= best - 1e-6
    assert not stopped.finished


def test_ctrl_c_keeps_what_is_there():
    def interrupt(_best, _bound):
        raise KeyboardInterrupt

    problem = hard(4)
    stopped = search(problem, progress=interrupt)
    assert not stopped.finished
    assert stopped.choice is not None
    assert stopped.bound >= search(problem).choice.score - 1e-6


def test_progress_tells_a_bound_that_falls_and_a_score_that_rises():
    told = []
    found = search(hard(5), progress=lambda score, bound: told.append((score, bound)))
    scores, bounds = zip(*told, strict=True)
    assert list(scores) == sorted(scores)
    assert list(bounds) == sorted(bounds, reverse=True)
    assert min(bounds) >= found.choice.score - 1e-6


@pytest.mark.parametrize("seed", range(3))
def test_alternates_by_difference_are_sets_of_the_problem(seed):
    problem = larger(seed)
    answer = solve(problem, alternates=3, differ=2)
    assert answer.status == "optimal"
    assert len(answer.solutions) == 4
    for one, other in combinations(answer.solutions, 2):
        assert len(set(problem.frame[list(one.chosen)]) & set(problem.frame[list(other.chosen)])) <= problem.size - 2
    for choice in answer.solutions:
        assert choice.proven
        score = score_terms(problem, choice.chosen, choice.roles, choice.look).score
        assert score == pytest.approx(choice.score, abs=1e-9)


@pytest.mark.parametrize(
    ("change", "status"),
    [
        ({}, "optimal"),
        ({"role_min": [3, 3, 0]}, "infeasible"),
        ({"group_cap": [0]}, "infeasible"),
        ({"gain": np.full((60, 3), np.nan)}, "infeasible"),
        ({"tone_reach": [0.0, 0.0], "tone_slack": [0.0, 0.0]}, "infeasible"),
        ({"tone_reach": [np.inf, np.inf]}, "optimal"),
        ({"size": 1, "role_min": [0, 0, 0]}, "optimal"),
        ({"include": [3], "exclude": [4, 5]}, "optimal"),
    ],
)
def test_status(change, status):
    answer = solve(larger(0, **change))
    assert answer.status == status
    assert (answer.best is None) == (status == "infeasible")
