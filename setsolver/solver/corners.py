"""The bound of a look box by its corners: with lines in place of efforts, only corner looks matter.

Where each effort of an axis is replaced by a line below it (``lines``), the best of all completions becomes a greatest
of linear functions of the look there: convex, so greatest at an end of the axis. Axis by axis, the one that hides most
first, both ends are bounded; an axis whose turn has not come charges as ``lookspace`` does. A branch of this small tree
ends where its bound is not above the bar, and its candidates grow fewer on the way down.

The charge of a box forgets how far each candidate's cheapest look is from the others'. At a corner all share one look:
measured, nine in ten points that charges hide come back.

Invariants (tested): no set of the node scores above both the bar and the value returned; a candidate that is not
``kept`` stands in no set above the bar.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from setsolver.solver.bound import lowest_picked, move_anchor, pick, weigh
from setsolver.solver.branch import frame_branch
from setsolver.solver.compiled import NOTHING, ZERO, copy_row, step
from setsolver.solver.core import bar
from setsolver.solver.eliminate import losses
from setsolver.solver.lines import effort_at, line_below, line_below_members
from setsolver.solver.lookspace import charge, charge_axis
from setsolver.solver.roles import adjust
from setsolver.solver.rounds import keep_round, restore_round
from setsolver.solver.tolls import adjust_tolls
from setsolver.solver.workspace import MOST_AXES

if TYPE_CHECKING:
    from setsolver.solver.instance import Instance
    from setsolver.solver.workspace import Work

__all__ = ["bound_by_corners", "order_axes"]

CHARGED = 2  # third row of ``Corners.line``: the axis charges, as its turn has not come
ROUNDS = 4
LAST_ROUNDS = 8  # at a corner of all axes
HOPE = 8.0  # rounds end where so many times the last gain would not reach the bar
TOO_OPEN = 0.9  # share of the box's excess over the bar at one corner from which the other corners are not worth it


@step
def order_axes(work: Work) -> tuple[int, float]:
    """Put the axes that hide anything into ``axis``, most first; return (how many of MOST_AXES, points hidden)."""
    axis, hidden = work.corners.axis, work.corners.hidden
    count, total = 0, 0.0
    for k in range(hidden.shape[0]):
        if hidden[k] <= 0.0:
            continue
        total += hidden[k]
        at = count
        while at > 0 and hidden[axis[at - 1]] < hidden[k]:
            axis[at] = axis[at - 1]
            at -= 1
        axis[at] = k
        count += 1
    return min(count, MOST_AXES), total


@step
def bound_by_corners(
    instance: Instance, work: Work, n: int, left: int, m: int, axes: int, excess: float, floor: float
) -> float:
    """Return a bound of the node over the corners of ``axis[:axes]``, inf where one corner is too open to go on.

    A value not above the bar closes the node. Otherwise ``kept[:left]`` says who may stand in a set above it; of the
    worst corner, ``hidden`` says what lines give away on each axis, ``pivot[0]`` is the picked candidate whose loss is
    greatest, and ``loss[0]`` that loss.

    Parameters
    ----------
    excess : points of the box's own bound above the bar.
    """
    c = work.corners
    _prepare(instance, work, n, left, m, axes)
    mark, worst = bar(work.score, floor), NOTHING
    depth = ZERO + 1
    c.side[0] = 0
    while depth > 0:
        at = depth - 1
        if c.side[at] == CHARGED:  # both ends are done
            depth = at
            if depth > 0:
                c.side[depth - 1] += 1
            continue
        off = _take_up(instance, work, n, m, axes, depth)
        few = c.few[at]
        here = _descend(instance, work, n, few, m, LAST_ROUNDS if depth == axes else ROUNDS, off, mark)
        if here > mark and depth < axes:
            _go_down(work, few, m, depth, here - mark)
            depth += 1
            continue
        if here > mark:
            if here - mark > TOO_OPEN * excess:
                worst = np.inf
                break
            losses(instance.caps, work, n, few, m)
            for j in range(few):
                if work.picked[j] or work.loss[j] < here - mark:
                    c.kept[c.place[at, j]] = True
            if here > worst:
                worst = here
                _note_worst(instance, work, n, m, axes)
        c.side[at] += 1
    copy_row(c.anchor[0], work.anchor)
    copy_row(c.premium[0], work.premium)
    for j in range(left):
        work.alive[j] = c.alive[j]
    return worst


@step
def _prepare(instance: Instance, work: Work, n: int, left: int, m: int, axes: int) -> None:
    """Fill lines and charges of the axes; start at the top with all candidates, the set in ``top`` and its anchor."""
    c, tones, alive = work.corners, instance.tones, work.alive
    charge(tones, instance.size, work.members, n, work.low, work.high, alive, left, c.rest, work.kink)
    for level in range(axes):
        axis = c.axis[level]
        weight, slack, low, high = tones.weight[axis], tones.slack[axis], work.low[axis], work.high[axis]
        charged = c.line[CHARGED, level]
        for j in range(left):
            charged[j] = 0.0
        charge_axis(tones, instance.size, work.members, n, axis, low, high, alive, left, charged, work.kink)
        for j in range(left):
            at_low, at_high = line_below(tones.tone[alive[j], axis], slack, low, high)
            c.line[0, level, j], c.line[1, level, j] = weight * at_low, weight * at_high
            c.rest[j] -= charged[j]
        at_low, at_high = line_below_members(tones.tone, work.members, n, axis, low, high, slack)
        c.members[0, level], c.members[1, level] = weight * at_low, weight * at_high
    for j in range(left):
        c.kept[j], c.alive[j], c.place[0, j] = False, alive[j], j
    for b in range(m):
        c.top[0, b] = work.top[b]
    c.few[0] = left
    copy_row(work.anchor, c.anchor[0])
    copy_row(work.premium, c.premium[0])


@step
def _take_up(instance: Instance, work: Work, n: int, m: int, axes: int, depth: int) -> float:
    """Set up candidates, costs, set and anchor for the sides of axis[:depth]; return what the members pay there."""
    c, at = work.corners, depth - 1
    off = instance.wishes.frames * instance.wishes.bonus
    for i in range(n):
        if instance.wishes.wanted[work.members[i]]:
            off -= instance.wishes.bonus
    for level in range(depth):
        off += c.members[c.side[level], level]
    for j in range(c.few[at]):
        place = c.place[at, j]
        cost = c.rest[place]
        for level in range(axes):
            cost += c.line[c.side[level] if level < depth else CHARGED, level, place]
        work.alive[j], work.cost[j], work.picked[j] = c.alive[place], cost, False
    for b in range(m):
        work.top[b] = c.top[at, b]
        work.picked[work.top[b]] = True
    copy_row(c.anchor[at], work.anchor)
    copy_row(c.premium[at], work.premium)
    return off


@step
def _go_down(work: Work, few: int, m: int, depth: int, spare: float) -> None:
    """Hand candidates, set and anchor on to the next axis, without those too light for any set above the bar."""
    c = work.corners
    threshold = lowest_picked(work.weight, work.top, m) - spare
    count = ZERO
    for j in range(few):
        if work.weight[j] <= threshold:
            continue
        if work.picked[j]:
            for b in range(m):
                if work.top[b] == j:
                    c.top[depth, b] = count
                    break
        c.place[depth, count] = c.place[depth - 1, j]
        count += 1
    c.few[depth], c.side[depth] = count, 0
    copy_row(work.anchor, c.anchor[depth])
    copy_row(work.premium, c.premium[depth])


@step
def _descend(instance: Instance, work: Work, n: int, left: int, m: int, rounds: int, off: float, mark: float) -> float:
    """Improve the bound from the set in ``top``; return the best, its set, weights and anchor in place.

    Returns the first value not above the mark, whatever is in place then.
    """
    best, gained = np.inf, np.inf
    for turn in range(rounds):
        bound = weigh(instance, work, n, left, turn) - off
        work.spent[1] += left
        pick(instance.caps, work, n, left, m, m)
        for b in range(m):
            bound += work.weight[work.top[b]]
        if bound <= mark:
            return bound
        if bound < best:
            gained, best = best - bound, bound
            keep_round(work, left, m)
        else:
            gained *= 0.5
        if gained * HOPE < best - mark:
            break
        move_anchor(instance.places.tangent, work, n, m, 1.0 / (turn + 3.0))
        adjust(instance.roles, work, n, left, m)
        adjust_tolls(instance.caps, work, n, m, bound - mark)
    restore_round(work, left, m)
    return best


@step
def _note_worst(instance: Instance, work: Work, n: int, m: int, axes: int) -> None:
    """Fill ``hidden``, ``pivot`` and ``loss`` for the set in ``top`` at the corner at hand."""
    c, tones, at = work.corners, instance.tones, axes - 1
    at_picked, c.loss[0] = frame_branch(work, m)
    c.pivot[0] = work.alive[work.top[at_picked]]
    for i in range(n):
        work.trial[i] = work.members[i]
    for b in range(m):
        work.trial[n + b] = work.alive[work.top[b]]
    for level in range(axes):
        axis, side = c.axis[level], c.side[level]
        look = work.high[axis] if side else work.low[axis]
        owed = tones.weight[axis] * effort_at(tones.tone, work.trial, n + m, axis, look, tones.slack[axis])
        owed -= c.members[side, level]
        for b in range(m):
            owed -= c.line[side, level, c.place[at, work.top[b]]]
        c.hidden[axis] = owed
