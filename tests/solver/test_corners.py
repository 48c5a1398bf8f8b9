"""No set of a node above the bar scores more than the bound by corners, and none loses a candidate."""

import numpy as np
import pytest

from setsolver.solver.compiled import NOTHING
from setsolver.solver.polish import polished
from setsolver.solver.workspace import MOST_AXES
from tests.solver.problems import random_problem
from tests.solver.shims import ByHand, bound_here, corners_here


def ready(node):
    """Return on how many axes corners can be taken, put in some order; 0 where the node has no completion."""
    work = node.work
    if not node.reachable or node.n >= node.problem.size or node.left < node.problem.size - node.n:
        return 0
    work.anchor[:] = node.rng.normal(0, 1, len(work.anchor))
    work.premium[:] = node.rng.normal(0, 1, len(work.premium))
    if bound_here(node.instance, work, node.n, node.left) == NOTHING:
        return 0
    wide = np.flatnonzero((work.high - work.low > 1e-6) & (node.instance.tones.weight > 0))
    axes = node.rng.permutation(wide)[:MOST_AXES]
    work.corners.axis[: len(axes)] = axes
    return len(axes)


@pytest.mark.parametrize("block", range(8))
def test_no_set_above_the_bar_is_lost(block):
    tried = open_ones = 0
    for seed in range(block * 60, block * 60 + 60):
        node = ByHand(random_problem(seed), seed)
        axes = ready(node)
        if not axes:
            continue
        truth = {}
        for positions in node.sets():
            choice = polished(node.problem, node.chosen(positions), [node.box])
            if choice is not None:
                truth[positions] = choice.score
        scores = sorted(truth.values())
        floor = scores[len(scores) * 2 // 3] if scores else 0.0
        work, before = node.work, node.work.alive[: node.left].copy()
        anchor, premium = work.anchor.copy(), work.premium.copy()
        _, bound = corners_here(node.instance, work, node.n, node.left, axes, floor)
        tried += 1
        assert np.array_equal(work.alive[: node.left], before)
        assert np.array_equal(work.anchor, anchor)
        assert np.array_equal(work.premium, premium)
        better = {positions: score for positions, score in truth.items() if score > floor + 1e-7}
        assert all(score <= bound + 1e-7 for score in better.values())
        if bound < np.inf:
            open_ones += bound > floor
            kept = set(before[work.corners.kept[: node.left]].tolist())
            assert all(set(positions[node.n :]) <= kept for positions in better)
    assert tried > 5
    assert open_ones > 0


def test_corners_know_that_one_look_is_for_all():
    """Two tones apart, a box over both: each alone pays nothing for it, together they do at any look."""
    problem = random_problem(0).replaced(
        size=2,
        frame=[0, 1],
        gain=[[10.0], [10.0]],
        role_min=[0],
        role_max=[2],
        tone=[[0.0], [10.0]],
        tone_weight=[1.0],
        tone_slack=[0.0],
        tone_reach=[np.inf],
        place=np.zeros((2, 0)),
        group=np.zeros((0, 2)),
        group_cap=[],
        conflict=np.zeros((0, 2)),
        include=[],
        exclude=[],
    )
    node = ByHand(problem, joined=0, boxed=False)
    box, corner = corners_here(node.instance, node.work, 0, 2, 1, 5.0)
    assert box == pytest.approx(20.0)
    assert corner == pytest.approx(10.0)
