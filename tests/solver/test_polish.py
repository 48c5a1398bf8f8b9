"""A set's best look in a box against a fine grid; a broken rule refuses the set."""

import numpy as np
import pytest

from setsolver.domain.problem import Problem
from setsolver.domain.validate import best_look, score_terms
from setsolver.solver.polish import best_look_within, polished
from tests.solver.problems import random_problem


@pytest.mark.parametrize("seed", range(60))
def test_the_look_in_a_box_is_the_best_there(seed):
    problem = random_problem(seed)
    axes, rng = problem.tone.shape[1], np.random.default_rng(seed)
    chosen = rng.choice(problem.renditions, min(3, problem.size), replace=False)
    low, high = np.sort(rng.uniform(-6, 6, (2, axes)), axis=0)
    look = best_look_within(problem, chosen, low, high)
    anywhere = best_look_within(problem, chosen, np.full(axes, -np.inf), np.full(axes, np.inf))
    free = best_look(problem, chosen)
    assert (anywhere is None) == (free is None)
    if free is not None:
        assert anywhere == pytest.approx(free, abs=1e-9)
    if look is None:
        return
    assert np.all((look >= low - 1e-9) & (look <= high + 1e-9))
    mine = score_terms(problem, chosen, [0] * len(chosen), look).effort.sum()
    assert score_terms(problem, chosen, [0] * len(chosen), anywhere).effort.sum() <= mine + 1e-9
    width = problem.tone_reach + problem.tone_slack
    for _ in range(200):
        other = rng.uniform(low, high)
        if np.all(np.abs(problem.tone[chosen] - other) <= width):
            assert mine <= score_terms(problem, chosen, [0] * len(chosen), other).effort.sum() + 1e-9


@pytest.mark.parametrize(
    ("box", "slack", "look"),
    [((-9, 9), 0, 2.0), ((1, 9), 0, 2.5), ((-9, 3), 0, 1.5), ((5, 9), 0, 5.0), ((-9, 9), 1, 2.0), ((2.5, 9), 1, 2.75)],
)
def test_the_look_is_the_middle_of_those_that_are_as_good(box, slack, look):
    """By hand: of tones 0 and 4 each look between costs 4, in a box those that it leaves; slack 1 leaves 1 to 3."""
    arrays = {"size": 2, "gain": np.ones((2, 1)), "tone": [[0.0], [4.0]], "tone_weight": [1.0], "tone_reach": [9.0]}
    problem = Problem.from_arrays(arrays | {"tone_slack": [slack]})
    found = best_look_within(problem, [0, 1], *(np.array([end], dtype=float) for end in box))
    assert found.tolist() == [look]


def test_a_set_that_breaks_a_rule_is_refused():
    problem = next(p for p in map(random_problem, range(9)) if p.size > 1)
    assert polished(problem, [0] * problem.size) is None
