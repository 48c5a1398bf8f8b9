"""The most that a node can score: a best top-N under nested caps, with tangents for variety and premiums for roles.

Invariant (tested at every node of random searches): for any anchor and premiums, ``weigh`` plus ``pick`` give a value
that no set of the node exceeds. Tone is charged by ``lookspace``, roles by ``roles``, variety by its tangent at
``anchor``:
-|s|^2 <= |y|^2 - 2 y.s for any y, caps that do not nest by ``tolls``. Conflicts and reach between candidates are left
out, which can only raise the value.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from setsolver.solver.compiled import NOTHING, step
from setsolver.solver.roles import favourite, premium_due
from setsolver.solver.tolls import toll_due, toll_of

if TYPE_CHECKING:
    from setsolver.domain.problem import Floats, Ints
    from setsolver.solver.instance import Caps, Instance
    from setsolver.solver.workspace import Work

__all__ = ["exchange", "lowest_picked", "move_anchor", "pick", "weigh"]

NONE_TIGHT = -1
BLOCKED = -2


@step
def weigh(instance: Instance, work: Work, n: int, left: int, turn: int) -> float:
    """Fill ``weight``, ``base`` and ``best_gain`` of the candidates; return the rest of the bound.

    ``turn`` above 0 says that neither candidates nor costs have changed since the last call; then only the anchor's
    part is new, unless premiums have changed.
    """
    anchor, premium, roles, places = work.anchor, work.premium, instance.roles, instance.places
    twice = 2.0 * places.pair_weight
    square = 0.0
    for e in range(anchor.shape[0]):
        square += anchor[e] * anchor[e]
    fixed = places.pair_weight * square - premium_due(roles, premium) + toll_due(instance.caps, work.toll)
    for i in range(n):
        item = work.members[i]
        fixed -= toll_of(instance.caps, work.toll, item)
        _, gain = favourite(roles.gain, item, premium)
        along = 0.0
        for e in range(anchor.shape[0]):
            along += anchor[e] * places.tangent[item, e]
        fixed += gain + places.own[item] - twice * along
    same = turn > 0 and not work.toll_moved[0]
    for r in range(premium.shape[0]):
        if premium[r] != work.gain_premium[r]:
            same = False
    if not same:
        _weigh_roles(instance, work, left)
    for j in range(left):
        item = work.alive[j]
        along = 0.0
        for e in range(anchor.shape[0]):
            along += anchor[e] * places.tangent[item, e]
        work.weight[j] = work.base[j] - twice * along
    return fixed


@step
def _weigh_roles(instance: Instance, work: Work, left: int) -> None:
    """Fill ``best_gain`` and ``base``: all of a candidate's weight but the anchor's part."""
    premium, gain = work.premium, instance.roles.gain
    work.toll_moved[0] = False
    for r in range(premium.shape[0]):
        work.gain_premium[r] = premium[r]
    for j in range(left):
        item = work.alive[j]
        most = NOTHING
        for r in range(premium.shape[0]):
            most = max(most, gain[item, r] + premium[r])
        work.best_gain[j] = most
        work.base[j] = most + instance.places.own[item] - work.cost[j] - toll_of(instance.caps, work.toll, item)
        if instance.wishes.wanted[item]:
            work.base[j] += instance.wishes.bonus


@step
def exchange(
    caps: Caps, members: Ints, n: int, alive: Ints, weight: Floats, top: Ints, chosen: int, room: int, item: int
) -> tuple[int, int]:
    """Return (position in ``top`` that must go if ``item`` comes in, row of the cap that makes it go).

    It is the lightest of the item's circuit in the nested caps. The position is NONE_TIGHT where there is room, BLOCKED
    where members alone fill a cap; the row is -1 where only the size is full.
    """
    for g in range(caps.nested):
        label = caps.row[g, item]
        if label < 0:
            continue
        held = 0
        for i in range(n):
            if caps.row[g, members[i]] == label:
                held += 1
        lightest, at = np.inf, BLOCKED
        for b in range(chosen):
            j = top[b]
            if caps.row[g, alive[j]] == label:
                held += 1
                if weight[j] < lightest:
                    lightest, at = weight[j], b
        if held >= caps.cap[g]:
            return at, g
    if chosen < room:
        return NONE_TIGHT, -1
    lightest, at = np.inf, BLOCKED
    for b in range(chosen):
        if weight[top[b]] < lightest:
            lightest, at = weight[top[b]], b
    return at, -1


@step
def lowest_picked(weight: Floats, top: Ints, chosen: int) -> float:
    """Return the least weight of the picked candidates."""
    lowest = np.inf
    for b in range(chosen):
        lowest = min(lowest, weight[top[b]])
    return lowest


@step
def pick(caps: Caps, work: Work, n: int, left: int, chosen: int, room: int) -> int:
    """Complete the members by ``room`` candidates to the heaviest set under nested caps; return how many were picked.

    ``top[:chosen]`` holds a start that keeps the caps. The caps are a matroid, so taking candidates in any order and
    swapping each against the lightest of its circuit ends in a heaviest set.
    """
    alive, weight, top, picked = work.alive, work.weight, work.top, work.picked
    lowest = lowest_picked(weight, top, chosen) if chosen == room else -np.inf
    for j in range(left):
        if weight[j] <= lowest or picked[j]:
            continue
        at, _ = exchange(caps, work.members, n, alive, weight, top, chosen, room, alive[j])
        if at == BLOCKED:
            continue
        if at == NONE_TIGHT:
            at = chosen
            chosen += 1
        else:
            if weight[top[at]] >= weight[j]:
                continue
            picked[top[at]] = False
        top[at] = j
        picked[j] = True
        if chosen == room:
            lowest = lowest_picked(weight, top, chosen)
    return chosen


@step
def move_anchor(tangent: Floats, work: Work, n: int, m: int, share: float) -> None:
    """Move the anchor a share of the way to the sum of places of the best set (an averaging, Frank-Wolfe step)."""
    for e in range(work.anchor.shape[0]):
        total = 0.0
        for i in range(n):
            total += tangent[work.members[i], e]
        for b in range(m):
            total += tangent[work.alive[work.top[b]], e]
        work.anchor[e] += share * (total - work.anchor[e])
