"""Roles: the compiled allocation equals the assignment problem and plain enumeration."""

from itertools import product

import numpy as np
import pytest

from setsolver.domain.problem import Problem
from setsolver.solver.compiled import NOTHING
from setsolver.solver.polish import best_roles
from tests.solver.problems import random_problem
from tests.solver.shims import ByHand, allocate


def problem_of(seed):
    rng = np.random.default_rng(seed)
    size, roles = int(rng.integers(1, 7)), int(rng.integers(1, 5))
    gain = np.round(rng.normal(0, 5, (size, roles)), int(rng.integers(0, 3)))
    gain[rng.random(gain.shape) < 0.3] = np.nan
    gain[np.isnan(gain).all(axis=1)] = 0.0
    least = rng.integers(0, 3, roles) * (rng.random(roles) < 0.5)
    return Problem.from_arrays(
        {"size": size, "gain": gain, "role_min": least, "role_max": least + rng.integers(0, 4, roles)}
    )


def by_trying(problem):
    best = -np.inf
    for roles in product(range(problem.gain.shape[1]), repeat=problem.size):
        counts = np.bincount(roles, minlength=problem.gain.shape[1])
        total = problem.gain[np.arange(problem.size), list(roles)].sum()
        if not np.isnan(total) and np.all((counts >= problem.role_min) & (counts <= problem.role_max)):
            best = max(best, total)
    return best


@pytest.mark.parametrize("seed", range(200))
def test_both_allocations_equal_trying_all(seed):
    problem = problem_of(seed)
    best, roles = by_trying(problem), best_roles(problem, range(problem.size))
    if best == -np.inf:
        assert roles is None
    else:
        assert problem.gain[np.arange(problem.size), list(roles)].sum() == pytest.approx(best, abs=1e-9)
    node = ByHand(problem, joined=0, boxed=False)
    if len(node.item) < problem.size:  # somebody can play no role of use
        assert best == -np.inf
        return
    node.work.members[: problem.size] = np.arange(problem.size)
    found = allocate(node.instance, node.work, problem.size)
    assert found == (NOTHING if best == -np.inf else pytest.approx(best, abs=1e-9))


def test_large_sets_agree_with_the_assignment_problem():
    for seed in range(20):
        rng = np.random.default_rng(seed)
        problem = Problem.from_arrays(
            {
                "size": 40,
                "gain": rng.normal(0, 5, (40, 8)),
                "role_min": rng.integers(0, 5, 8),
                "role_max": rng.integers(5, 12, 8),
            }
        )
        node = ByHand(problem, joined=0, boxed=False)
        node.work.members[:40] = np.arange(40)
        roles = best_roles(problem, range(40))
        total = problem.gain[np.arange(40), list(roles)].sum()
        assert allocate(node.instance, node.work, 40) == pytest.approx(total, abs=1e-8)


def test_random_problems_have_roles_to_play():
    assert any(best_roles(random_problem(s), range(random_problem(s).size)) for s in range(20))
