"""Candidates decided by proof: who cannot be in, who must be in, given a bound and the best set known.

After ``pick``, the heaviest set under nested caps that contains a candidate left out is the best one with a single
exchange, and so is the heaviest without one that was picked (both are exchanges of a matroid). So bound - loss bounds
every set with that candidate forced in, or forced out. Invariant (tested): no set above ``cut`` is lost.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from setsolver.solver.bound import BLOCKED, exchange, lowest_picked
from setsolver.solver.compiled import step

if TYPE_CHECKING:
    from setsolver.solver.instance import Caps, Work

__all__ = ["losses", "screen", "sift"]


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
        work.picked[kept] = work.picked[j]
        kept += 1
    return kept


@step
def losses(caps: Caps, work: Work, n: int, left: int, m: int) -> None:
    """Fill ``loss[:left]``: points of the bound lost by forcing in who was left out, or out who was picked."""
    alive, weight, top, loss = work.alive, work.weight, work.top, work.loss
    for b in range(m):
        loss[top[b]] = np.inf
    heaviest = -np.inf  # no candidate up to here can lower anyone's loss any more
    for j in range(left):
        if work.picked[j]:
            continue
        at, row = exchange(caps, work.members, n, alive, weight, top, m, m, alive[j])
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
