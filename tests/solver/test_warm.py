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
        assert (mine.best is None) == (fresh.best is None)
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
