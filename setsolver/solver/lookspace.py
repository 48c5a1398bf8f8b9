"""Look boxes: what members and candidates must pay in tone, at least, anywhere in a box of looks.

Invariants (tested):

* ``least_effort`` is the exact least joint effort of members on one axis over an interval.
* ``charge`` splits it so that it adds up: for members S and any completion X of a set of N, the charges of X sum to at
  most the least joint effort of S and X over the box. Each of m = N - |S| candidates carries an m-th of the members'
  effort F(l), so with c_i(l) its own:  min_l [F + sum c_i] = min_l sum_i [F/m + c_i] >= sum_i min_l [F/m + c_i].
* ``in_reach`` drops no candidate that some look of the box reaches.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from setsolver.solver.compiled import step

if TYPE_CHECKING:
    from setsolver.domain.problem import Floats, Ints
    from setsolver.solver.instance import Tones

__all__ = ["charge", "charge_axis", "in_reach", "least_effort"]

SLIP = 1e-9  # as domain.validate.FEASIBILITY_TOLERANCE: a look on the very border counts as reached


@step
def least_effort(
    tone: Floats, member: Ints, n: int, axis: int, low: float, high: float, slack: float, kink: Floats
) -> tuple[float, float]:
    """Return (least of sum_i max(0, |tone_i - l| - slack) over low <= l <= high, a middle l that attains it).

    Leaves the sorted kinks tone -+ slack in ``kink[:2n]``: the slope is -n before the first and grows by 1 at each, so
    the flat stretch lies between kinks n - 1 and n (counted from 0).
    """
    if n == 0:
        return 0.0, 0.5 * (low + high)
    for i in range(n):
        kink[2 * i] = tone[member[i], axis] - slack
        kink[2 * i + 1] = tone[member[i], axis] + slack
    for i in range(1, 2 * n):
        x = kink[i]
        j = i - 1
        while j >= 0 and kink[j] > x:
            kink[j + 1] = kink[j]
            j -= 1
        kink[j + 1] = x
    look = 0.5 * (min(max(kink[n - 1], low), high) + min(max(kink[n], low), high))
    effort = 0.0
    for i in range(n):
        effort += max(0.0, abs(tone[member[i], axis] - look) - slack)
    return effort, look


@step
def charge(
    tones: Tones,
    size: int,
    member: Ints,
    n: int,
    low: Floats,
    high: Floats,
    alive: Ints,
    left: int,
    cost: Floats,
    kink: Floats,
) -> None:
    """Fill ``cost[:left]`` with each candidate's charge in points; see the module's second invariant."""
    if n == 0:  # the same in one pass; the way below passes over all candidates once an axis
        for j in range(left):
            total = 0.0
            for axis in range(low.shape[0]):
                tone = tones.tone[alive[j], axis]
                away = max(tone - high[axis], low[axis] - tone) - tones.slack[axis]
                total += tones.weight[axis] * max(0.0, away)
            cost[j] = total
        return
    for j in range(left):
        cost[j] = 0.0
    for axis in range(low.shape[0]):
        if tones.weight[axis] != 0.0:
            charge_axis(tones, size, member, n, axis, low[axis], high[axis], alive, left, cost, kink)


@step
def charge_axis(
    tones: Tones,
    size: int,
    member: Ints,
    n: int,
    axis: int,
    lowest: float,
    highest: float,
    alive: Ints,
    left: int,
    cost: Floats,
    kink: Floats,
) -> None:
    """Add to ``cost[:left]`` what one axis charges each candidate."""
    m = size - n
    weight, slack, width = tones.weight[axis], tones.slack[axis], tones.width[axis]
    flat_from, flat_to, pull_from, pull_to = lowest, highest, lowest, highest
    shared, at_from, at_to = 0.0, 0.0, 0.0
    if n > 0:
        effort, _ = least_effort(tones.tone, member, n, axis, lowest, highest, slack, kink)
        shared = effort / m
        flat_from = min(max(kink[n - 1], lowest), highest)
        flat_to = min(max(kink[n], lowest), highest)
        # beyond these looks the members' m-th part is steeper than the candidate's own effort
        if m <= n:
            pull_from = min(max(kink[n - m], lowest), highest)
            pull_to = min(max(kink[n + m - 1], lowest), highest)
        for i in range(n):
            at_from += max(0.0, abs(tones.tone[member[i], axis] - pull_from) - slack)
            at_to += max(0.0, abs(tones.tone[member[i], axis] - pull_to) - slack)
        at_from /= m
        at_to /= m
    for j in range(left):
        tone = tones.tone[alive[j], axis]
        if tone - slack > flat_to:
            look = min(tone - slack, pull_to)
        elif tone + slack < flat_from:
            look = max(tone + slack, pull_from)
        else:
            cost[j] += weight * shared
            continue
        look = max(look, lowest, tone - width)
        look = min(look, highest, tone + width)
        own = max(0.0, abs(tone - look) - slack)
        if look == pull_to:
            own += at_to
        elif look == pull_from:
            own += at_from
        elif n > 0:
            effort = 0.0
            for i in range(n):
                effort += max(0.0, abs(tones.tone[member[i], axis] - look) - slack)
            own += effort / m
        cost[j] += weight * own


@step
def in_reach(tones: Tones, low: Floats, high: Floats, alive: Ints, left: int) -> int:
    """Keep the candidates that some look of the box reaches, in order; return how many."""
    kept = 0
    for j in range(left):
        item = alive[j]
        reached = True
        for axis in range(low.shape[0]):
            tone, width = tones.tone[item, axis], tones.width[axis]
            if tone - width > high[axis] + SLIP or tone + width < low[axis] - SLIP:
                reached = False
                break
        if reached:
            alive[kept] = item
            kept += 1
    return kept
