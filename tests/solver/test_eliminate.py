"""What forcing a candidate in, or a picked one out, costs the bound, against trying every set under the nested caps."""

from itertools import combinations

import numpy as np
import pytest

from setsolver.solver.compiled import NOTHING
from tests.solver.problems import random_problem
from tests.solver.shims import ByHand, losses_here


def heaviest(node, must=None, without=None):
    """Return the weight of the heaviest completion that keeps the nested caps, -inf where there is none."""
    caps, work = node.instance.caps, node.work
    best = -np.inf
    for trial in combinations(range(node.left), node.problem.size - node.n):
        if (must is not None and must not in trial) or without in trial:
            continue
        items = np.r_[node.members, work.alive[list(trial)]].astype(np.int64)
        labels = caps.row[: caps.nested, items]
        if np.all([np.bincount(row[row >= 0]).max(initial=0) for row in labels] <= caps.cap[: caps.nested]):
            best = max(best, work.weight[list(trial)].sum())
    return best


@pytest.mark.parametrize("seed", range(40))
def test_losses_are_exact_under_nested_caps(seed):
    node = ByHand(random_problem(seed, most=10), seed)
    if not node.reachable or node.n >= node.problem.size or node.left < node.problem.size - node.n:
        return
    if losses_here(node.instance, node.work, node.n, node.left) == NOTHING:
        return
    work, best = node.work, heaviest(node)
    for j in range(node.left):
        other = heaviest(node, without=j) if work.picked[j] else heaviest(node, must=j)
        assert best - work.loss[j] == pytest.approx(other, abs=1e-7)
    assert np.all(work.full == -1)
