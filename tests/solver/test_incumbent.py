"""First sets are valid, are scored as the validator scores them, and no single swap mends them further."""

import numpy as np
import pytest

from setsolver.solver.compiled import NOTHING
from setsolver.solver.incumbent import start_at
from setsolver.solver.polish import polished
from tests.solver.problems import random_problem
from tests.solver.shims import ByHand


@pytest.mark.parametrize("seed", range(150))
def test_a_first_set_is_valid_scored_right_and_swap_proof(seed):
    node = ByHand(random_problem(seed), seed, joined=0, boxed=False)
    if len(node.item) < node.problem.size:
        return
    look = node.instance.tones.tone[seed % len(node.item)].copy()
    start_at(node.instance, node.work, look, *node.box, 40)
    if node.work.score[0] == NOTHING:
        return
    found = node.work.found.copy()
    mine = polished(node.problem, node.chosen(found))
    assert mine is not None
    assert mine.score == pytest.approx(node.work.score[0], abs=1e-7)
    reached = np.abs(node.instance.tones.tone - look) <= node.instance.tones.width + 1e-9
    for place in range(len(found)):
        for item in np.flatnonzero(reached.all(axis=1)):
            other = polished(node.problem, node.chosen([*np.delete(found, place), item]))
            assert other is None or other.score <= mine.score + 1e-6


def test_most_problems_get_a_first_set():
    got = 0
    for seed in range(40):
        node = ByHand(random_problem(seed), seed, joined=0, boxed=False)
        for look in node.instance.tones.tone:
            if len(node.item) >= node.problem.size:
                start_at(node.instance, node.work, look.copy(), *node.box, 40)
        got += node.work.score[0] > NOTHING
    assert got >= 20
