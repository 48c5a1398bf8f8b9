"""A settled node has lost no set above the bar: each is offered, or still in the node under its bound."""

import numpy as np
import pytest

from setsolver.solver.compiled import NOTHING
from setsolver.solver.polish import polished
from tests.solver.problems import random_problem
from tests.solver.shims import ByHand, settle


def scored(node):
    """Return {positions as a set: score} of all valid sets of the node."""
    out = {}
    for positions in node.sets():
        choice = polished(node.problem, node.chosen(positions), [node.box])
        if choice is not None:
            out[frozenset(positions)] = choice.score
    return out


@pytest.mark.parametrize("seed", range(300))
def test_no_set_above_the_bar_is_lost(seed):
    node = ByHand(random_problem(seed), seed, joined=0 if seed % 2 else None, boxed=bool(seed % 3))
    if not node.reachable or node.left == 0:
        return
    truth = scored(node)
    values = sorted(truth.values())
    floor = values[len(values) // 2] if values and seed % 4 else NOTHING  # half of the sets are not worth finding
    after = settle(node, 1 + seed % 12, floor)
    best = node.work.score[0]
    for positions, score in truth.items():
        if score <= max(floor, best) + 1e-7:
            continue
        assert after is not None
        assert score <= after.bound + 1e-7
        assert set(after.members) <= positions
        assert positions - set(after.members) <= set(after.alive)


def test_a_bound_below_the_floor_ends_the_node():
    node = ByHand(random_problem(5), 5, joined=0, boxed=False)
    truth = max(scored(node).values())
    assert settle(node, 60, truth + 1000) is None
    assert np.all(node.work.score == NOTHING)
