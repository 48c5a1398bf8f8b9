"""A warm solver says what a fresh one says, whatever is changed, and needs no search where an earlier proof holds."""

import numpy as np
import pytest

from setsolver.errors import BadProblem
from setsolver.solver import Warm, solve
from tests.solver.problems import random_problem
from tests.solver.test_search import hard


def some_change(problem, rng):
    """Return a random change of wishes, gains or weights."""
    frames = rng.permutation(np.unique(problem.frame))
    spare = len(frames) - problem.size
    kind = int(rng.integers(0, 4))
    if kind == 0:
        return {"include": frames[:1], "exclude": []}
    if kind == 1 and spare > 0:
        return {"include": [], "exclude": frames[: int(rng.integers(1, spare + 1))]}
    if kind == 2:
        return {"gain": problem.gain + rng.normal(0, 2, problem.gain.shape)}
    return {"variety_weight": float(rng.uniform(0, 8)), "tone_weight": problem.tone_weight * rng.uniform(0, 2)}


@pytest.mark.parametrize("seed", range(60))
def test_the_answer_is_that_of_a_fresh_solver(seed):
    problem, rng = random_problem(seed), np.random.default_rng(seed)
    warm = Warm(problem, workers=1)
    warm.solve()
    for _ in range(5):
        change = some_change(problem, rng)
        mine, fresh = warm.solve(**change), solve(problem.replaced(**change), workers=1)
        assert mine.status == fresh.status
        assert len(mine.solutions) == len(fresh.solutions)
        if mine.best is not None:
            assert mine.best.score == pytest.approx(fresh.best.score, abs=1e-6)
            assert mine.best.proven


def test_no_search_where_an_earlier_proof_holds():
    problem = hard(0)
    warm = Warm(problem)
    best = warm.solve().best
    inside = problem.frame[list(best.chosen)]
    outside = np.setdiff1d(problem.frame, inside)
    again = warm.solve(include=inside[:2], exclude=outside[:9])
    assert again.nodes == 0
    assert again.best.chosen == best.chosen
    assert again.best.proven


def test_a_bad_change_is_refused():
    with pytest.raises(BadProblem, match="size: 0"):
        Warm(random_problem(0)).solve(size=0)


def test_a_time_limit_is_kept():
    answer = Warm(hard(1)).solve(time_limit=0.0)
    assert answer.status == "feasible"
    assert answer.best.gap > 0


@pytest.mark.parametrize("seed", range(30))
def test_what_is_known_survives_rows_that_come_and_go(seed):
    problem, rng = random_problem(seed), np.random.default_rng(seed)
    warm = Warm(problem, workers=1)
    warm.solve()
    kept = np.flatnonzero(rng.random(problem.renditions) < 0.85)
    kept = np.union1d(kept, np.unique(problem.frame, return_index=True)[1])
    order = rng.permutation(kept)
    rows = np.full(problem.renditions, -1, dtype=np.int64)
    rows[order] = np.arange(len(order))
    other = problem.take(order)
    warm.moved(rows)
    mine, fresh = warm.ask(other), solve(other, workers=1)
    assert mine.status == fresh.status
    if mine.best is not None:
        assert mine.best.score == pytest.approx(fresh.best.score, abs=1e-6)


def test_a_proof_does_not_outlast_the_rows_it_was_about():
    problem = hard(0)
    warm = Warm(problem)
    assert warm.solve().nodes > 0
    warm.moved(np.arange(problem.renditions))
    assert warm.solve().nodes > 0


def test_more_tone_axes_make_old_looks_no_start():
    problem = hard(0)
    warm = Warm(problem)
    warm.solve()
    axes = problem.tone.shape[1]
    fewer = problem.replaced(
        tone=problem.tone[:, : axes - 1],
        tone_weight=problem.tone_weight[:-1],
        tone_slack=problem.tone_slack[:-1],
        tone_reach=problem.tone_reach[:-1],
        exclude=problem.frame[list(warm.solve().best.chosen)][:1],
    )
    assert warm.ask(fewer).best.score == pytest.approx(solve(fewer).best.score)
