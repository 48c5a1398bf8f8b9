"""No set scores more than its node's bound at any anchor, premiums and tolls; picking under nested caps is exact."""

from itertools import combinations, islice

import numpy as np
import pytest

from setsolver.solver.compiled import NOTHING
from setsolver.solver.polish import polished
from tests.solver.problems import random_problem
from tests.solver.shims import ByHand, bound_here, weighed_again


@pytest.mark.parametrize("seed", range(250))
def test_no_set_exceeds_the_bound_at_any_anchor_and_premium(seed):
    node = ByHand(random_problem(seed), seed)
    if not node.reachable:
        return
    scores = [polished(node.problem, node.chosen(s), [node.box]) for s in islice(node.sets(), 400)]
    best = max((choice.score for choice in scores if choice), default=-np.inf)
    for scale in (0.0, 1.0, 3.0):
        node.work.anchor[:] = node.rng.normal(0, scale, len(node.work.anchor))
        node.work.premium[:] = node.rng.normal(0, scale, len(node.work.premium))
        node.work.toll[:] = np.abs(node.rng.normal(0, scale, node.work.toll.shape))
        bound = bound_here(node.instance, node.work, node.n, node.left)
        assert best <= bound + 1e-7


@pytest.mark.parametrize("seed", range(0, 250, 5))
def test_the_picked_are_the_heaviest_that_keep_the_nested_caps(seed):
    node = ByHand(random_problem(seed, linear=True), seed, joined=0)
    if not node.reachable:
        return
    caps, work = node.instance.caps, node.work
    bound = bound_here(node.instance, work, 0, node.left)
    weight = work.weight[: node.left]
    best = -np.inf
    for trial in combinations(range(node.left), node.problem.size):
        items = work.alive[list(trial)]
        labels = caps.row[: caps.nested, items]
        most = [np.bincount(row[row >= 0]).max(initial=0) for row in labels]
        if np.all(most <= caps.cap[: caps.nested]):
            best = max(best, weight[list(trial)].sum())
    if best == -np.inf:
        assert bound == NOTHING
    else:
        assert weight[work.top[: node.problem.size]].sum() == pytest.approx(best, abs=1e-7)


def test_candidates_pay_the_tolls_of_the_turn():
    """What is kept from the turn before holds no tolls that have moved since: as if weighed for the first time."""
    moved = 0
    for seed in range(60):
        later, fresh = (ByHand(random_problem(seed), seed, joined=0) for _ in range(2))
        if not later.reachable or later.instance.caps.tolled.shape[0] == 0 or later.left < later.problem.size:
            continue
        told = [
            weighed_again(node.instance, node.work, 0, node.left, 9.0, turn) for node, turn in ((later, 1), (fresh, 0))
        ]
        moved += later.work.toll.any()
        assert told[0] == told[1]
        assert np.array_equal(later.work.weight[: later.left], fresh.work.weight[: fresh.left])
    assert moved
