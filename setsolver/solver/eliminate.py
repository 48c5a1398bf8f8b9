"""Candidates decided by proof: who cannot be in, who must be in, given a bound and the best set known.

After ``pick``, the heaviest set under nested caps that contains a candidate left out is the best one with a single
exchange, and so is the heaviest without one that was picked (both are exchanges of a matroid). So bound - loss bounds
every set with that candidate forced in, or forced out. Invariant (tested): no set above ``cut`` is lost.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from setsolver.solver.bound import BLOCKED, lowest_picked
from setsolver.solver.compiled import ZERO, step

if TYPE_CHECKING:
    from setsolver.solver.instance import Caps
    from setsolver.solver.workspace import Work

ROOM = -1  # in Work.full: the label has room, as ``workspace`` leaves it

__all__ = ["keep_marked", "losses", "screen", "sift"]


@step
def screen(work: Work, left: int, m: int, spare: float) -> int:
    """Drop candidates too light to stand in any set within ``spare`` points of the bound; return how many are left.

    A cheap first cut (one comparison a candidate), made only where it removes a fifth of them. Keeps ``top`` in step.
    """
    threshold = lowest_picked(work.weight, work.top, m) - spare
    light = 0
    for j in range(left):
        if work.weight[j] <= threshold:
            light += 1
    if light * 5 < left:
        return left
    kept = 0
    for j in range(left):
        if work.weight[j] <= threshold:
            continue
        if work.picked[j]:
            for b in range(m):
                if work.top[b] == j:
                    work.top[b] = kept
                    break
        work.alive[kept] = work.alive[j]
        work.cost[kept] = work.cost[j]
        work.weight[kept] = work.weight[j]
        work.best_gain[kept] = work.best_gain[j]
        work.base[kept] = work.base[j]
        work.picked[kept] = work.picked[j]
        kept += 1
    return kept


@step
def _mark_full(caps: Caps, work: Work, n: int, m: int) -> None:
    """Write into ``full[g, label]`` which picked one must go for a newcomer of a full label, or that none can."""
    for g in range(caps.nested):
        for i in range(n + m):
            item = work.members[i] if i < n else work.alive[work.top[i - n]]
            label = caps.row[g, item]
            if label < 0:
                continue
            held, lightest, at = 0, np.inf, BLOCKED
            for h in range(n + m):
                other = work.members[h] if h < n else work.alive[work.top[h - n]]
                if caps.row[g, other] == label:
                    held += 1
                    if h >= n and work.weight[work.top[h - n]] < lightest:
                        lightest, at = work.weight[work.top[h - n]], h - n
            if held >= caps.cap[g]:
                work.full[g, label] = at


@step
def _unmark_full(caps: Caps, work: Work, n: int, m: int) -> None:
    for g in range(caps.nested):
        for i in range(n + m):
            item = work.members[i] if i < n else work.alive[work.top[i - n]]
            if caps.row[g, item] >= 0:
                work.full[g, caps.row[g, item]] = ROOM


@step
def losses(caps: Caps, work: Work, n: int, left: int, m: int) -> None:
    """Fill ``loss[:left]``: points of the bound lost by forcing in who was left out, or out who was picked."""
    alive, weight, top, loss = work.alive, work.weight, work.top, work.loss
    anyone = 0
    for b in range(m):
        loss[top[b]] = np.inf
        if weight[top[b]] < weight[top[anyone]]:
            anyone = b
    _mark_full(caps, work, n, m)
    heaviest = -np.inf  # no candidate up to here can lower anyone's loss any more
    for j in range(left):
        if work.picked[j]:
            continue
        at, row = anyone, -1
        for g in range(caps.nested):
            label = caps.row[g, alive[j]]
            if label >= 0 and work.full[g, label] != ROOM:
                at, row = work.full[g, label], g
                break
        if at == BLOCKED:
            loss[j] = np.inf
            continue
        loss[j] = weight[top[at]] - weight[j]
        if weight[j] <= heaviest:
            continue
        heaviest = np.inf
        for b in range(m):  # j can replace each picked one of its circuit
            t = top[b]
            if row < 0 or caps.row[row, alive[t]] == caps.row[row, alive[j]]:
                loss[t] = min(loss[t], weight[t] - weight[j])
            heaviest = min(heaviest, weight[t] - loss[t])
    _unmark_full(caps, work, n, m)


@step
def sift(work: Work, left: int, spare: float, forced: int) -> int:
    """Keep the picked candidates and those whose loss is below ``spare``, without ``forced``; return how many."""
    kept = 0
    for j in range(left):
        item = work.alive[j]
        if item != forced and (work.picked[j] or work.loss[j] < spare):
            work.alive[kept] = item
            kept += 1
    return kept


@step
def keep_marked(work: Work, left: int) -> int:
    """Keep the candidates that ``corners.kept`` marks; return how many."""
    kept = ZERO
    for j in range(left):
        if work.corners.kept[j]:
            work.alive[kept] = work.alive[j]
            kept += 1
    return kept
