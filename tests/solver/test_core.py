"""The last one or two places: every completion above the bar is found."""

import numpy as np
import pytest

from setsolver.solver.compiled import NOTHING
from tests.solver.problems import best_of, random_problem
from tests.solver.shims import ByHand, close


@pytest.mark.parametrize("seed", range(200))
def test_closing_finds_the_best_completion(seed):
    problem = random_problem(seed)
    node = ByHand(problem, seed, joined=max(0, problem.size - 1 - seed % 2))
    if not node.reachable or node.n < problem.size - 2 or node.n == problem.size:
        return
    node.work.premium[:] = node.rng.normal(0, 1, len(node.work.premium))
    best, _ = best_of(problem, (node.chosen(s) for s in node.sets()), [node.box])
    close(node.instance, node.work, node.n, node.left, NOTHING)
    found = node.work.score[0]
    assert found == (NOTHING if best == -np.inf else pytest.approx(best, abs=1e-7))
