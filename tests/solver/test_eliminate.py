"""What forcing a candidate in, or a picked one out, costs the bound, against trying every set under the nested caps."""

from itertools import combinations

import numpy as np
import pytest

from setsolver.solver.compiled import NOTHING
from tests.solver.problems import random_problem
from tests.solver.shims import ByHand, losses_here, screen, sift


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


def lost(seed):
    """Return a node at its bound with losses filled, None where it has no completion."""
    node = ByHand(random_problem(seed, most=30), seed, joined=seed % 2)
    left = node.problem.size - node.n
    if not node.reachable or left < 1 or node.left < left:
        return None
    return None if losses_here(node.instance, node.work, node.n, node.left) == NOTHING else node


@pytest.mark.parametrize("seed", range(60))
def test_who_is_picked_or_loses_less_than_there_is_to_spare_is_kept(seed):
    node = lost(seed)
    if node is None:
        return
    work, left = node.work, node.left
    alive, picked, loss = work.alive[:left].copy(), work.picked[:left].copy(), work.loss[:left].copy()
    spare = float(np.median(loss[np.isfinite(loss)])) if np.isfinite(loss).any() else 1.0
    for forced in (-1, int(alive[picked][0])):
        work.alive[:left] = alive
        kept = sift(work, left, spare, forced)
        by_hand = [a for a, p, x in zip(alive, picked, loss, strict=True) if a != forced and (p or x < spare)]
        assert work.alive[:kept].tolist() == by_hand


@pytest.mark.parametrize("seed", range(60))
def test_who_is_too_light_for_any_set_that_matters_is_dropped_where_that_is_a_fifth(seed):
    node = lost(seed)
    if node is None:
        return
    work, left, m = node.work, node.left, node.problem.size - node.n
    columns = ("alive", "cost", "weight", "best_gain", "base", "picked")
    before = {name: getattr(work, name)[:left].copy() for name in columns}
    chosen = set(work.alive[work.top[:m]].tolist())
    lowest = before["weight"][work.top[:m]].min()
    for share in (0.02, 0.1, 0.3, 0.6, 1.0):
        for name in columns:
            getattr(work, name)[:left] = before[name]
        work.top[:m] = [np.flatnonzero(work.alive[:left] == item)[0] for item in sorted(chosen)]
        spare = lowest - float(np.quantile(before["weight"], 1.0 - share))
        stays = before["weight"] > lowest - spare
        if spare <= 0:
            continue
        if 5 * np.count_nonzero(~stays) < left:
            stays[:] = True
        kept = screen(work, left, m, spare)
        assert kept == np.count_nonzero(stays)
        for name in columns:
            assert np.array_equal(getattr(work, name)[:kept], before[name][stays]), name
        assert set(work.alive[work.top[:m]].tolist()) == chosen
