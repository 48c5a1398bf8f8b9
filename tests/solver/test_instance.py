"""The problem as kernels see it, and their buffers, against the problem read by plain loops."""

from itertools import combinations

import numpy as np
import pytest

from setsolver.solver.compiled import NOTHING
from setsolver.solver.explore import stack_for
from setsolver.solver.instance import MOST_LABELS, instance_of
from setsolver.solver.restriction import Restriction
from setsolver.solver.workspace import MOST_AXES, workspace
from tests.solver.problems import random_problem
from tests.solver.small import small_problem


def question(problem, seed):
    """Return a question that bars a frame and asks to differ from two sets, from one of them wholly."""
    rng = np.random.default_rng(seed)
    ids = np.unique(problem.frame)
    one, other = (frozenset(rng.choice(ids, min(2, len(ids)), replace=False).tolist()) for _ in range(2))
    barred = frozenset(rng.choice(ids, 1).tolist()) if seed % 3 else frozenset()
    return Restriction(differ=((one, 1), (other, 0)) if seed % 2 else (), barred=barred)


def stays(problem, asked, row):
    """Whether a rendition may be chosen at all."""
    out = {*problem.exclude.tolist(), *asked.barred, *(f for some, most in asked.differ if most <= 0 for f in some)}
    plays = any(not np.isnan(gain) and most > 0 for gain, most in zip(problem.gain[row], problem.role_max, strict=True))
    full = any(labels[row] >= 0 and cap == 0 for labels, cap in zip(problem.group, problem.group_cap, strict=True))
    return problem.frame[row] not in out and plays and not full


def groups(labels):
    """Return which positions share a label, of all labels."""
    return frozenset(frozenset(np.flatnonzero(labels == one).tolist()) for one in set(labels.tolist()) - {-1})


def inside(fine, coarse):
    """Whether any two sets of the two rows are disjoint or one inside the other."""
    return all(not a & b or a <= b or b <= a for a in fine for b in coarse)


@pytest.mark.parametrize("seed", range(120))
def test_what_kernels_see_is_the_problem(seed):
    problem = random_problem(seed) if seed % 4 else small_problem(seed)
    asked = question(problem, seed)
    instance, item = instance_of(problem, asked)
    assert item.tolist() == [row for row in range(problem.renditions) if stays(problem, asked, row)]
    assert (instance.size, instance.total) == (problem.size, len(item))
    gain = problem.gain[item]
    assert np.array_equal(instance.roles.gain, np.where(np.isnan(gain), NOTHING, gain))
    assert instance.roles.least.tolist() == problem.role_min.tolist()
    assert instance.roles.most.tolist() == [min(most, problem.size) for most in problem.role_max.tolist()]
    assert np.array_equal(instance.tones.tone, problem.tone[item])
    assert instance.tones.weight.tolist() == problem.tone_weight.tolist()
    assert instance.tones.width.tolist() == (problem.tone_reach + problem.tone_slack).tolist()
    assert np.array_equal(instance.places.spot, problem.place[item])
    assert instance.places.euclidean == (problem.variety_kind == "euclidean")
    assert instance.places.pair_weight == problem.variety_weight / max(1, problem.size - 1)
    wanted = [frame in problem.include for frame in problem.frame[item].tolist()]
    assert instance.wishes.wanted.tolist() == wanted
    assert instance.wishes.frames == len(problem.include)


@pytest.mark.parametrize("seed", range(120))
def test_caps_and_conflicts_are_those_of_the_problem_and_the_question(seed):
    problem = random_problem(seed) if seed % 4 else small_problem(seed)
    asked = question(problem, seed)
    instance, item = instance_of(problem, asked)
    caps, frame = instance.caps, problem.frame[item]
    wanted = [(groups(frame), 1)]
    wanted += [
        (groups(labels[item]), cap) for labels, cap in zip(problem.group, problem.group_cap.tolist(), strict=True)
    ]
    wanted += [(groups(np.where(np.isin(frame, sorted(some)), 0, -1)), most) for some, most in asked.differ]
    rows = [groups(row) for row in caps.row]
    assert sorted((sorted(map(sorted, row)), int(cap)) for row, cap in zip(rows, caps.cap, strict=True)) == sorted(
        (sorted(map(sorted, row)), cap) for row, cap in wanted
    )
    assert all(inside(a, b) for a, b in combinations(rows[: caps.nested], 2))
    assert caps.nested >= 1
    few = [g for g in range(caps.nested, len(rows)) if 0 < len(rows[g]) <= MOST_LABELS]
    assert caps.tolled.tolist() == few
    ids = np.unique(frame).tolist()
    assert [ids[f] for f in caps.frame] == frame.tolist()
    for number, one in enumerate(ids):
        foes = [ids[f] for f in caps.foe[caps.foe_first[number] : caps.foe_first[number + 1]]]
        pairs = [pair for pair in problem.conflict.tolist() if one in pair]
        assert sorted(foes) == sorted(f for a, b in pairs for f in [b if a == one else a] if f in ids)


@pytest.mark.parametrize("seed", range(60))
def test_the_bonus_of_a_wish_is_a_power_of_two_above_whatever_two_sets_differ_by(seed):
    """As if every gain changed its sign, every tone went from end to end, and every pair lay farthest apart."""
    problem = random_problem(seed)
    instance, _ = instance_of(problem, Restriction())
    gains = 2 * problem.size * np.nanmax(np.abs(problem.gain), initial=0.0)
    effort = problem.size * float(np.ptp(problem.tone, axis=0) @ problem.tone_weight)
    apart = ((problem.place[:, None] - problem.place[None]) ** 2).sum(axis=2).max(initial=0.0)
    apart = apart if problem.variety_kind == "squared" else np.sqrt(apart)
    bonus = instance.wishes.bonus
    assert bonus > gains + effort + apart * problem.variety_weight * problem.size / 2
    assert np.log2(bonus) == int(np.log2(bonus))
    assert bonus < 64 * problem.size * (1 + gains + effort + problem.variety_weight * (1 + apart))


@pytest.mark.parametrize("seed", range(40))
def test_buffers_hold_whatever_kernels_write(seed):
    problem = random_problem(seed)
    instance, item = instance_of(problem, Restriction())
    if len(item) < problem.size:
        return
    work, stack = workspace(instance, np.zeros(1)), stack_for(instance)
    total, size, axes = len(item), problem.size, problem.tone.shape[1]
    dims, roles = instance.places.tangent.shape[1], problem.gain.shape[1]
    deep, labels = min(axes, MOST_AXES), int(instance.caps.row.max(initial=0)) + 1
    for name in ("alive", "parent", "cost", "weight", "kept_weight", "best_gain", "base", "loss", "picked"):
        assert len(getattr(work, name)) >= total, name
    for name in ("members", "top", "kept_top", "trial"):
        assert len(getattr(work, name)) >= size, name
    assert len(work.found) == size  # an answer: all of it is one
    for name, count in (("low", axes), ("high", axes), ("anchor", dims), ("kept_anchor", dims), ("premium", roles)):
        assert len(getattr(work, name)) == count, name
    assert len(work.kink) >= 2 * size
    assert work.full.shape[0] == instance.caps.nested
    assert work.full.shape[1] >= labels
    assert np.all(work.full == -1)
    assert work.score.tolist() == [NOTHING]
    assert work.toll.shape == work.toll_over.shape
    assert work.toll.shape[0] == len(instance.caps.tolled)
    assert work.toll.shape[1] >= max((instance.caps.row[g].max() + 1 for g in instance.caps.tolled), default=0)
    assert not work.toll.any()
    assert work.moves.loss.shape == work.moves.via.shape == work.moves.mover.shape == (roles, roles)
    assert work.moves.todo.shape[1] > roles * roles
    corners = work.corners
    assert corners.line.shape[0] == 3
    assert corners.line.shape[1] >= deep
    assert corners.members.shape[1] >= deep
    for name in ("place", "top", "anchor", "premium", "side", "few"):
        assert len(getattr(corners, name)) >= deep, name
    assert corners.top.shape[1] >= size
    assert min(corners.line.shape[2], corners.place.shape[1], len(corners.rest), len(corners.kept)) >= total
    assert stack.pool.shape[0] >= 4 * total
    assert stack.members.shape[1] >= size
    assert stack.low.shape == stack.high.shape == (len(stack.bound), axes)
    assert len(stack.bound) >= 64
