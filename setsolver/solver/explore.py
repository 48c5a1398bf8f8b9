"""Depth-first search below one open node, all compiled, for a bounded amount of work.

Invariant: every set of the node above the bar was offered, or lies in a node left on the stack, whose bound it does not
exceed. So the largest bound on all stacks and the best score together bound the whole search at any moment.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from setsolver.solver.branch import ON_FRAME, ON_LOOK
from setsolver.solver.bundle import Bundle
from setsolver.solver.compiled import ZERO, copy_row, kernel, step
from setsolver.solver.core import bar
from setsolver.solver.instance import lengths
from setsolver.solver.members import admit
from setsolver.solver.node import settle

if TYPE_CHECKING:
    from setsolver.domain.problem import Floats, Ints
    from setsolver.solver.instance import Instance
    from setsolver.solver.workspace import Aside, Work

__all__ = ["UNSETTLED", "Node", "Stack", "explore", "load", "stack_for", "unload"]

UNSETTLED = 2  # a third kind beside ON_FRAME and ON_LOOK: a fresh node, to be settled as it is
DEPTH = 2000
ROOM = 500_000


class Node(NamedTuple):
    """An open node. Unless UNSETTLED, its split is known. The driver keys its heap by ``bound``."""

    bound: float
    members: Ints
    low: Floats
    high: Floats
    anchor: Floats
    premium: Floats
    alive: Ints
    kind: int
    what: int
    split: float


class Stack(Bundle):
    """Open nodes of one thread; the candidates of all lie one after the other in ``pool``."""

    bound: Floats
    n: Ints
    members: Ints
    low: Floats
    high: Floats
    anchor: Floats
    premium: Floats
    first: Ints
    left: Ints
    kind: Ints
    what: Ints
    split: Floats
    pool: Ints


def stack_for(instance: Instance) -> Stack:
    """Return an empty stack."""
    axes, dims, roles = lengths(instance)
    depth = max(64, min(DEPTH, 4_000_000 // (instance.size + 2 * axes + dims + roles)))
    return Stack(
        np.zeros(depth),
        np.zeros(depth, dtype=np.int64),
        np.zeros((depth, instance.size + 1), dtype=np.int64),
        np.zeros((depth, axes)),
        np.zeros((depth, axes)),
        np.zeros((depth, dims)),
        np.zeros((depth, roles)),
        np.zeros(depth, dtype=np.int64),
        np.zeros(depth, dtype=np.int64),
        np.zeros(depth, dtype=np.int64),
        np.zeros(depth, dtype=np.int64),
        np.zeros(depth),
        np.empty(max(ROOM, 4 * instance.total), dtype=np.int64),
    )


def load(stack: Stack, node: Node) -> None:
    """Put a node at the bottom of the stack."""
    stack.bound[0], stack.n[0], stack.first[0], stack.left[0] = node.bound, len(node.members), 0, len(node.alive)
    stack.members[0, : len(node.members)] = node.members
    stack.low[0], stack.high[0] = node.low, node.high
    stack.anchor[0], stack.premium[0] = node.anchor, node.premium
    stack.kind[0], stack.what[0], stack.split[0] = node.kind, node.what, node.split
    stack.pool[: len(node.alive)] = node.alive


def unload(stack: Stack, at: int) -> Node:
    """Return a copy of the node at a position of the stack."""
    first, left = stack.first[at], stack.left[at]
    return Node(
        float(stack.bound[at]),
        stack.members[at, : stack.n[at]].copy(),
        stack.low[at].copy(),
        stack.high[at].copy(),
        stack.anchor[at].copy(),
        stack.premium[at].copy(),
        stack.pool[first : first + left].copy(),
        int(stack.kind[at]),
        int(stack.what[at]),
        float(stack.split[at]),
    )


@kernel
def explore(instance: Instance, work: Work, stack: Stack, budget: int, rounds: int, floor: float) -> int:
    """Search below the node at the bottom of the stack until ``budget`` (candidates weighed) is spent.

    Returns the number of nodes left on the stack; the best set found is in ``work``.
    """
    height = 1
    work.spent[1] = 0
    while height > 0 and work.spent[1] < budget and height + 2 < stack.bound.shape[0]:
        at = height - 1
        if stack.bound[at] <= bar(work.score, floor):
            height -= 1
            continue
        first, left = stack.first[at], stack.left[at]
        if first + 2 * left > stack.pool.shape[0]:
            break
        n, kind, what, split, above = stack.n[at], stack.kind[at], stack.what[at], stack.split[at], stack.bound[at]
        _set_aside(work, stack, at, first, left)
        height -= 1
        sides = 1 if kind == UNSETTLED else 2
        for side in range(sides):  # the side pushed last is searched first: the frame in, or the upper half of the box
            _take_up(work, work.aside)
            members, candidates = _enter(instance, work, n, left, kind, what, split, side)
            bound, members, candidates, next_kind, next_what, next_split = settle(
                instance, work, members, candidates, rounds, floor
            )
            bound = min(bound, above)
            if bound > bar(work.score, floor):
                first = _push(work, stack, height, first, bound, members, candidates)
                stack.kind[height], stack.what[height], stack.split[height] = next_kind, next_what, next_split
                height += 1
    return height


@step
def _set_aside(work: Work, stack: Stack, at: int, first: int, left: int) -> None:
    """Copy a node off the stack, whose place its halves will take."""
    for j in range(left):
        work.parent[j] = stack.pool[first + j]
    aside = work.aside
    copy_row(stack.members[at], aside.members)
    copy_row(stack.low[at], aside.low)
    copy_row(stack.high[at], aside.high)
    copy_row(stack.anchor[at], aside.anchor)
    copy_row(stack.premium[at], aside.premium)


@step
def _take_up(work: Work, aside: Aside) -> None:
    copy_row(aside.members, work.members)
    copy_row(aside.low, work.low)
    copy_row(aside.high, work.high)
    copy_row(aside.anchor, work.anchor)
    copy_row(aside.premium, work.premium)


@step
def _enter(
    instance: Instance, work: Work, n: int, left: int, kind: int, what: int, split: float, side: int
) -> tuple[int, int]:
    """Set up one side of a split in ``work``; return (members, candidates)."""
    if kind != ON_FRAME:
        for j in range(left):
            work.alive[j] = work.parent[j]
        if kind == ON_LOOK and side == 0:
            work.high[what] = split
        elif kind == ON_LOOK:
            work.low[what] = split
        return n, left
    kept = ZERO
    for j in range(left):
        if work.parent[j] != what:
            work.alive[kept] = work.parent[j]
            kept += 1
    if side == 0:
        return n, kept
    return admit(instance.caps, instance.tones, work.members, work.low, work.high, work.alive, n, kept, what)


@step
def _push(work: Work, stack: Stack, height: int, first: int, bound: float, n: int, left: int) -> int:
    stack.bound[height], stack.n[height], stack.first[height], stack.left[height] = bound, n, first, left
    copy_row(work.members, stack.members[height])
    copy_row(work.low, stack.low[height])
    copy_row(work.high, stack.high[height])
    copy_row(work.anchor, stack.anchor[height])
    copy_row(work.premium, stack.premium[height])
    for j in range(left):
        stack.pool[first + j] = work.alive[j]
    return first + left
