"""Charges of a look box never exceed what a set really pays in it, and reach drops nobody who can be reached."""

from itertools import combinations

import numpy as np
import pytest

from setsolver.domain.validate import score_terms
from setsolver.solver.polish import best_look_within
from tests.solver.problems import random_problem
from tests.solver.shims import ByHand, charge, least_effort


def test_least_effort_is_the_least_on_a_fine_grid():
    rng = np.random.default_rng(1)
    for _ in range(300):
        n = int(rng.integers(1, 7))
        tone, slack = rng.normal(0, 4, (n, 1)), float(rng.uniform(0, 2))
        low, high = np.sort(rng.uniform(-8, 8, 2))
        least, look = least_effort(tone, np.arange(n), n, 0, low, high, slack, np.empty(2 * n + 2))
        grid = np.linspace(low, high, 201)
        costs = np.maximum(0, np.abs(tone - grid) - slack).sum(axis=0)
        assert low <= look <= high
        assert least == pytest.approx(np.maximum(0, np.abs(tone - look) - slack).sum(), abs=1e-9)
        assert least <= costs.min() + 1e-9


@pytest.mark.parametrize("seed", range(150))
def test_charges_add_up_to_no_more_than_the_joint_effort(seed):
    node = ByHand(random_problem(seed), seed)
    if not node.reachable or not node.problem.tone.shape[1]:
        return
    charge(node.instance, node.work, node.n, node.left)
    cost = dict(zip(node.work.alive[: node.left].tolist(), node.work.cost[: node.left].tolist(), strict=True))
    checked = 0
    for others in combinations(sorted(cost), node.problem.size - node.n):
        chosen = node.chosen((*node.members, *others))
        look = best_look_within(node.problem, chosen, *node.box)
        if look is None:
            continue
        effort = score_terms(node.problem, chosen, [0] * len(chosen), look).effort.sum()
        assert sum(cost[o] for o in others) <= effort + 1e-9
        checked += 1
        if checked > 200:
            break


@pytest.mark.parametrize("seed", range(0, 120, 2))
def test_the_last_place_is_charged_the_joint_effort_exactly(seed):
    """Axis by axis the joint effort is least at one look, and one frame is left to pay what the members do not."""
    problem = random_problem(seed)
    node = ByHand(problem, seed, joined=problem.size - 1)
    if not node.reachable or not problem.tone.shape[1] or problem.size - node.n != 1:
        return
    charge(node.instance, node.work, node.n, node.left)
    for other, cost in zip(node.work.alive[: node.left].tolist(), node.work.cost[: node.left].tolist(), strict=True):
        chosen = node.chosen((*node.members, other))
        look = best_look_within(problem, chosen, *node.box)
        if look is not None:
            effort = score_terms(problem, chosen, [0] * len(chosen), look).effort.sum()
            assert cost == pytest.approx(effort, abs=1e-9)


@pytest.mark.parametrize("seed", range(0, 150, 3))
def test_reach_drops_only_who_no_look_of_the_box_reaches(seed):
    node = ByHand(random_problem(seed), seed, joined=1)
    kept = set(node.work.alive[: node.left].tolist())
    caps = node.instance.caps
    for item in set(range(len(node.item))) - kept - set(node.members):
        both = node.chosen((*node.members, item))
        clash = any(
            row[item] >= 0 and np.count_nonzero(row[node.members] == row[item]) >= cap
            for row, cap in zip(caps.row, caps.cap, strict=True)
        )
        foes = caps.foe[caps.foe_first[caps.frame[item]] : caps.foe_first[caps.frame[item] + 1]]
        clash |= bool(np.isin(caps.frame[node.members], foes).any())
        assert clash or best_look_within(node.problem, both, *node.box) is None
