"""Doors from Python to the compiled steps that otherwise only kernels call, and a node set up by hand."""

from __future__ import annotations

import numpy as np

from setsolver.solver import bound, branch, core, corners, eliminate, lines, lookspace, members, roles, tolls
from setsolver.solver.compiled import NOTHING, kernel
from setsolver.solver.explore import UNSETTLED, Node, explore, load, stack_for, unload
from setsolver.solver.instance import instance_of
from setsolver.solver.restriction import Restriction
from setsolver.solver.workspace import workspace


@kernel
def least_effort(tone, member, n, axis, low, high, slack, kink):
    return lookspace.least_effort(tone, member, n, axis, low, high, slack, kink)


@kernel
def charge(instance, work, n, left):
    lookspace.charge(
        instance.tones, instance.size, work.members, n, work.low, work.high, work.alive, left, work.cost, work.kink
    )


@kernel
def admit(instance, work, n, left, item):
    n, left = members.admit(instance.caps, instance.tones, work.members, work.low, work.high, work.alive, n, left, item)
    return n, lookspace.in_reach(instance.tones, work.low, work.high, work.alive, left)


@kernel
def allocate(instance, work, n):
    return roles.allocate(instance.roles, work.members, n, work.moves)


@kernel
def bound_here(instance, work, n, left):
    """Return the bound at the node's anchor and premiums (NOTHING: no completion); ``top`` holds the picked."""
    lookspace.charge(
        instance.tones, instance.size, work.members, n, work.low, work.high, work.alive, left, work.cost, work.kink
    )
    m = instance.size - n
    wanted = instance.wishes.frames
    for i in range(n):
        if instance.wishes.wanted[work.members[i]]:
            wanted -= 1
    for j in range(left):
        work.picked[j] = False
    total = bound.weigh(instance, work, n, left, n - n) - wanted * instance.wishes.bonus
    if bound.pick(instance.caps, work, n, left, n - n, m) < m:
        return NOTHING
    for b in range(m):
        total += work.weight[work.top[b]]
    return total


@kernel
def weighed_again(instance, work, n, left, excess, turn):
    """Pick at the node's anchor, premiums and tolls, move the tolls by an excess, and weigh again as on a turn."""
    if bound_here(instance, work, n, left) == NOTHING:
        return NOTHING
    tolls.adjust_tolls(instance.caps, work, n, instance.size - n, excess)
    return bound.weigh(instance, work, n, left, turn)


@kernel
def close(instance, work, n, left, floor):
    """Close a node with one or two places left."""
    lookspace.charge(
        instance.tones, instance.size, work.members, n, work.low, work.high, work.alive, left, work.cost, work.kink
    )
    if instance.size - n == 1:
        core.close_one(instance, work, n, left, floor)
    else:
        core.close_two(instance, work, n, left, floor)


class ByHand:
    """An instance with its workspace, and a node drawn at random: a few members, the candidates beside them, a box."""

    def __init__(self, problem, seed=0, *, joined=None, boxed=True):
        self.problem = problem
        self.instance, self.item = instance_of(problem, Restriction())
        self.work = workspace(self.instance, np.zeros(1))
        self.rng = np.random.default_rng(seed)
        total = len(self.item)
        tone = self.instance.tones.tone
        ends = np.sort(self.rng.uniform(tone.min(0, initial=0), tone.max(0, initial=0), (2, tone.shape[1])), axis=0)
        low, high = ends if boxed else (tone.min(0, initial=np.inf), tone.max(0, initial=-np.inf))
        self.box = (low.copy(), high.copy())
        self.work.low[:], self.work.high[:] = low, high
        self.work.alive[:total] = np.arange(total)
        self.n, self.left = 0, total
        most = int(self.rng.integers(0, problem.size)) if joined is None else joined
        while self.n < most and self.left:
            item = int(self.work.alive[self.rng.integers(0, self.left)])
            keep = self.work.alive[: self.left]
            rest = keep[keep != item]
            self.work.alive[: len(rest)] = rest
            self.n, self.left = admit(self.instance, self.work, self.n, len(rest), item)

    @property
    def members(self):
        """Positions of the members."""
        return self.work.members[: self.n].tolist()

    def sets(self):
        """Yield all sets (positions) of the node: its members and any candidates that came with it."""
        from itertools import combinations  # noqa: PLC0415

        alive = self.work.alive[: self.left].tolist()
        for others in combinations(alive, self.problem.size - self.n):
            yield (*self.members, *others)

    def chosen(self, positions):
        """Return rendition indexes of the problem."""
        return self.item[list(positions)].tolist()

    @property
    def reachable(self):
        """True while the node's box holds a look."""
        return bool(np.all(self.work.low <= self.work.high))


def settle(node, rounds, floor):
    """Settle a node by the search's own kernel; return it, or None where it is done."""
    work = node.work
    state = (work.low.copy(), work.high.copy(), work.anchor.copy(), work.premium.copy())
    fresh = Node(
        np.inf, np.array(node.members, dtype=np.int64), *state, work.alive[: node.left].copy(), UNSETTLED, 0, 0.0
    )
    stack = stack_for(node.instance)
    load(stack, fresh)
    height = explore(node.instance, work, stack, 1, rounds, floor)
    return unload(stack, 0) if height else None


@kernel
def corners_here(instance, work, n, left, axes, floor):
    """Return (bound of the box, bound by the corners of ``corners.axis[:axes]``) at the node's anchor and premiums."""
    excess = bound_here(instance, work, n, left) - floor
    return excess + floor, corners.bound_by_corners(instance, work, n, left, instance.size - n, axes, excess, floor)


@kernel
def look_branch(instance, work, n, m):
    return branch.look_branch(instance.tones, work, n, m)


@kernel
def seek_branch(instance, work, left):
    return branch.seek_branch(instance.tones, work, left)


@kernel
def sift(work, left, spare, forced):
    return eliminate.sift(work, left, spare, forced)


@kernel
def screen(work, left, m, spare):
    return eliminate.screen(work, left, m, spare)


@kernel
def line_below(tone, slack, low, high):
    return lines.line_below(tone, slack, low, high)


@kernel
def line_below_members(tone, member, n, axis, low, high, slack):
    return lines.line_below_members(tone, member, n, axis, low, high, slack)


@kernel
def losses_here(instance, work, n, left):
    """Return the bound at the node's anchor and premiums; ``loss`` is filled."""
    bound_ = bound_here(instance, work, n, left)
    if bound_ > NOTHING:
        eliminate.losses(instance.caps, work, n, left, instance.size - n)
    return bound_
