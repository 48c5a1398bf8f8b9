"""Whatever the budget, every set above the bar is offered or lies under an open node's bound."""

import numpy as np
import pytest

from setsolver.solver.compiled import NOTHING
from setsolver.solver.explore import Node, explore, load, stack_for, unload
from tests.solver.problems import random_problem
from tests.solver.shims import ByHand, settle
from tests.solver.test_node import scored
from tests.solver.test_search import hard


def settled(node):
    return settle(node, 3, NOTHING)


@pytest.mark.parametrize("seed", range(120))
@pytest.mark.parametrize("budget", [1, 40, 1_000_000])
def test_no_set_is_lost_at_any_budget(seed, budget):
    node = ByHand(random_problem(seed), seed, joined=0, boxed=False)
    if not node.reachable or node.left < node.problem.size:
        return
    truth, start = scored(node), settled(node)
    if start is None:
        assert max(truth.values(), default=NOTHING) <= node.work.score[0] + 1e-7
        return
    stack = stack_for(node.instance)
    load(stack, start)
    node.work.spent[1] = 2_000_000  # of the turn before: every turn has a budget of its own
    height = explore(node.instance, node.work, stack, budget, 4, NOTHING)
    best, still_open = node.work.score[0], [unload(stack, i) for i in range(height)]
    assert budget < 1_000_000 or height == 0
    for positions, score in truth.items():
        if score > best + 1e-7:
            homes = [o for o in still_open if set(o.members.tolist()) <= positions]
            homes = [o for o in homes if positions <= {*o.members.tolist(), *o.alive.tolist()}]
            assert any(score <= o.bound + 1e-7 for o in homes)


def test_a_node_comes_off_the_stack_as_it_went_on():
    node = ByHand(hard(8), 8, joined=0, boxed=False)
    made = settled(node)._replace(members=np.array([3]), alive=np.array([1, 2, 4]), kind=1, what=0, split=0.5)
    stack = stack_for(node.instance)
    load(stack, made)
    again = unload(stack, 0)._replace(members=stack.members[0, :1])
    for name in Node._fields:
        np.testing.assert_array_equal(getattr(again, name), getattr(made, name))
