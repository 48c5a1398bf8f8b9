"""Where a node is split: by what lines give away on each look axis, by how far candidates lie apart, both by hand."""

import numpy as np
import pytest

from setsolver.solver.compiled import NOTHING
from tests.solver.problems import random_problem
from tests.solver.shims import ByHand, bound_here, look_branch, seek_branch
from tests.solver.test_search import hard

NARROW = 1e-6


def opened(seed):
    """Return a node with its picked set in ``trial``, or None where it has no completion."""
    node = ByHand(hard(seed) if seed % 5 == 0 else random_problem(seed), seed, joined=seed % 3)
    size = node.problem.size
    if not node.reachable or node.n >= size or node.left < size - node.n:
        return None
    if bound_here(node.instance, node.work, node.n, node.left) == NOTHING:
        return None
    work = node.work
    work.trial[: node.n] = node.members
    work.trial[node.n : size] = work.alive[work.top[: size - node.n]]
    return node


def effort(tones, slack, looks):
    return np.maximum(0.0, np.abs(np.asarray(tones)[:, None] - looks) - slack).sum(axis=0)


def hidden_by_hand(node, axis):
    """The least joint effort in the box, less the members' own and what the rest pays beside where that is least."""
    tones, work = node.instance.tones, node.work
    low, high, slack = work.low[axis], work.high[axis], tones.slack[axis]
    tone = tones.tone[work.trial[: node.problem.size], axis]
    kinks = np.concatenate([tone - slack, tone + slack, [low, high]])
    looks = np.sort(kinks[(kinks >= low) & (kinks <= high)])
    owed = effort(tone, slack, looks).min()
    own = effort(tone[: node.n], slack, looks)
    flat = looks[own <= own.min() + 1e-12]
    rest = np.maximum(0.0, np.maximum(tone[node.n :] - slack - flat.max(), flat.min() - tone[node.n :] - slack))
    return tones.weight[axis] * (owed - own.min() - rest.sum())


def test_the_axis_that_hides_most_is_split_no_nearer_than_a_quarter_to_an_end():
    split = 0
    for seed in range(160):
        node = opened(seed)
        if node is None:
            continue
        work, axes = node.work, node.problem.tone.shape[1]
        axis, look, hidden = look_branch(node.instance, work, node.n, node.problem.size - node.n)
        by_hand = [hidden_by_hand(node, k) for k in range(axes)]
        assert work.corners.hidden[:axes].tolist() == pytest.approx(by_hand, abs=1e-7)
        assert hidden == pytest.approx(max(0.0, *by_hand, 0.0), abs=1e-7)
        if hidden > 1e-6:
            split += 1
            assert by_hand[axis] == pytest.approx(max(by_hand), abs=1e-7)
            quarter = (work.high[axis] - work.low[axis]) / 4
            assert work.low[axis] + quarter - 1e-9 <= look <= work.high[axis] - quarter + 1e-9
    assert split > 20


def test_an_axis_without_room_or_weight_hides_nothing_at_all():
    """To the last bit: lines are drawn on what hides anything, and need two ends apart."""
    tried = 0
    for seed in range(200):
        node = opened(seed)
        if node is None or not node.problem.tone.shape[1]:
            continue
        tried += 1
        work, axes = node.work, node.problem.tone.shape[1]
        work.high[:] = work.low + np.array([0.0, NARROW / 2, 0.0, 0.9 * NARROW])[np.arange(axes) % 4]
        assert look_branch(node.instance, work, node.n, node.problem.size - node.n) == (-1, 0.0, 0.0)
        assert not work.corners.hidden[:axes].any()
    assert tried > 50


def test_candidates_too_far_apart_for_one_look_are_parted_in_the_middle_of_the_box():
    parted = 0
    for seed in range(200):
        node = ByHand(random_problem(seed), seed, joined=0)
        if not node.reachable or not node.left:
            continue
        work, tones = node.work, node.instance.tones
        alive = tones.tone[work.alive[: node.left]]
        wide = (work.high - work.low > NARROW) & np.isfinite(tones.width)
        apart = np.where(wide, np.ptp(alive, axis=0) / tones.width, 0.0)
        axis, look = seek_branch(node.instance, work, node.left)
        if apart.max(initial=0.0) <= 2.5:
            assert axis == -1
            continue
        parted += 1
        assert axis == apart.argmax()
        assert look == pytest.approx((work.low[axis] + work.high[axis]) / 2)
    assert parted > 15
