"""One node of the search: tighten it, bound it, decide candidates by proof, and say where to split what is left.

A node is the set of all sets of the instance that contain its members, draw the rest from its candidates, and have
their look in its box. Invariant (tested): ``settle`` returns a bound that no set of the node above the bar exceeds,
unless that set was offered; candidates that it drops and members that it adds lose no set above the bar.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from setsolver.solver.bound import move_anchor, pick, weigh
from setsolver.solver.branch import ON_FRAME, ON_LOOK, frame_branch, look_branch, seek_branch
from setsolver.solver.compiled import NOTHING, ZERO, step
from setsolver.solver.core import PAIRS_UP_TO, bar, close_one, close_two, try_set
from setsolver.solver.corners import bound_by_corners, order_axes
from setsolver.solver.eliminate import keep_marked, losses, screen, sift
from setsolver.solver.lookspace import SLIP, charge, in_reach
from setsolver.solver.members import admit
from setsolver.solver.roles import adjust
from setsolver.solver.rounds import keep_round, restore_round
from setsolver.solver.tolls import adjust_tolls

if TYPE_CHECKING:
    from setsolver.domain.problem import Floats
    from setsolver.solver.instance import Instance
    from setsolver.solver.workspace import Work

__all__ = ["MARGIN", "settle"]

MARGIN = 0  # position in Work.tuning: hidden points from which a look axis is split before a frame
SPARE_SHARE = 0.02  # never for less than this share of what the bound still has to fall
LOSS_SHARE = 0.5  # and of the best frame's loss
FADING = 0.002  # share of the distance to the bar that a round must gain to count as progress
PATIENCE = 3
FIRST_SHARE = 4.0  # averaging steps are 1/4, 1/5, ...: the anchor comes warm from the parent
SCREEN_ROUNDS = 2
PAIR = 2
GIVEN_SHARE = 0.2  # of the best frame's loss: what lines must give away on an axis for it to be split instead
FEW = 1e9  # with so few completions left, frames are the better split: measured, 43 nodes for 173,627 on 37 frames
SHUT_SHARE = 0.3  # and of what is open at the corners: axes that hide little each never close a box together
SMALL = 1e9  # a problem with so few sets in all is split on frames: measured, 18 nodes for 1,836,952 on 33 renditions


@step
def settle(
    instance: Instance, work: Work, n: int, left: int, rounds: int, floor: float
) -> tuple[float, int, int, int, int, float]:
    """Work the node in ``work`` (members[:n], alive[:left], box, anchor, premium) through.

    Returns
    -------
    (bound, n, left, kind, what, split) : the node after proof, and its split: ``kind`` ON_LOOK with axis ``what`` at
    look ``split``, or ON_FRAME with candidate ``what``. A bound not above the bar means the node is done.
    """
    done = (NOTHING, n, 0, ON_FRAME, 0, 0.0)
    first = True
    while True:
        if not _tighten(work.low, work.high):
            return done
        left = in_reach(instance.tones, work.low, work.high, work.alive, left)
        m = instance.size - n
        if left < m:
            return done
        work.spent[0] += 1
        if m == 0:
            try_set(instance, work, work.members, floor)
            return done
        charge(
            instance.tones, instance.size, work.members, n, work.low, work.high, work.alive, left, work.cost, work.kink
        )
        if m == 1:
            close_one(instance, work, n, left, floor)
            return done
        bound, left = _descend(instance, work, n, left, m, rounds, floor)
        if bound <= bar(work.score, floor):
            return (bound, n, 0, ON_FRAME, 0, 0.0)
        for i in range(n):
            work.trial[i] = work.members[i]
        for b in range(m):
            work.trial[n + b] = work.alive[work.top[b]]
        if first:
            try_set(instance, work, work.trial, floor)
        if m == 2 and left <= PAIRS_UP_TO:
            close_two(instance, work, n, left, floor)
            return done
        losses(instance.caps, work, n, left, m)
        spare = bound - bar(work.score, floor)
        at, loss = frame_branch(work, m)
        if loss >= spare:
            forced = work.alive[work.top[at]]
            left = sift(work, left, spare, forced)
            n, left = admit(
                instance.caps, instance.tones, work.members, work.low, work.high, work.alive, n, left, forced
            )
        else:
            kind, what, split = _split(instance, work, n, left, work.alive[work.top[at]], loss, spare)
            before = left
            left = sift(work, left, spare, ZERO - 1)
            if not first or 4 * left > 3 * before:
                if m == PAIR or spare >= -0.5 * NOTHING:  # the core is near, or no set is known
                    return (bound, n, left, kind, what, split)
                return _at_corners(instance, work, n, left, m, bound, kind, what, split, floor)
        first = False


@step
def _at_corners(
    instance: Instance,
    work: Work,
    n: int,
    left: int,
    m: int,
    bound: float,
    kind: int,
    what: int,
    split: float,
    floor: float,
) -> tuple[float, int, int, int, int, float]:
    """Bound the node by its corners, where what its charges hide could close it; return as ``settle``."""
    look_branch(instance.tones, work, n, m)
    axes, hidden = order_axes(work)
    excess = bound - bar(work.score, floor)
    if axes == 0 or hidden < excess:
        return (bound, n, left, kind, what, split)
    _find_picked(work, n, left, m)
    value = bound_by_corners(instance, work, n, left, m, axes, excess, floor)
    if value <= bar(work.score, floor):
        return (value, n, 0, ON_FRAME, 0, 0.0)
    if value >= bound:
        return (bound, n, left, kind, what, split)
    left = keep_marked(work, left)
    kind, what, split = ON_FRAME, work.corners.pivot[0], 0.0
    if completions(instance.caps.frame.shape[0], instance.size) <= SMALL:
        return (value, n, left, kind, what, split)
    most = max(GIVEN_SHARE * work.corners.loss[0], SHUT_SHARE * (value - bar(work.score, floor)))
    for level in range(axes):
        axis = work.corners.axis[level]
        if work.corners.hidden[axis] > most:
            most, kind, what, split = work.corners.hidden[axis], ON_LOOK, axis, 0.5 * (work.low[axis] + work.high[axis])
    return (value, n, left, kind, what, split)


@step
def _find_picked(work: Work, n: int, left: int, m: int) -> None:
    """Point ``top`` again at the set of ``trial`` after candidates were dropped."""
    for b in range(m):
        for j in range(left):
            if work.alive[j] == work.trial[n + b]:
                work.top[b] = j
                break


@step
def _tighten(low: Floats, high: Floats) -> bool:
    """Return whether the box holds a look at all, closing slips of rounding."""
    for axis in range(low.shape[0]):
        if low[axis] > high[axis] + SLIP:
            return False
        high[axis] = max(low[axis], high[axis])
    return True


@step
def _descend(instance: Instance, work: Work, n: int, left: int, m: int, rounds: int, floor: float) -> tuple[float, int]:
    """Improve the bound over anchors and premiums; return (best bound, left), the best round's state in place."""
    wanted = instance.wishes.frames
    for i in range(n):
        if instance.wishes.wanted[work.members[i]]:
            wanted -= 1
    for j in range(left):
        work.picked[j] = False
    best, chosen, idle = np.inf, ZERO, 0
    for turn in range(rounds):
        fixed = weigh(instance, work, n, left, turn)
        work.spent[1] += left
        chosen = pick(instance.caps, work, n, left, chosen, m)
        if chosen < m:
            return NOTHING, left
        bound = fixed - wanted * instance.wishes.bonus
        for b in range(m):
            bound += work.weight[work.top[b]]
        mark = bar(work.score, floor)
        if bound <= mark:
            return bound, left
        if turn < SCREEN_ROUNDS:
            fewer = screen(work, left, m, bound - mark)
            if fewer < left:
                left, best = fewer, np.inf  # the kept round no longer matches the candidates
        if bound < best:
            if bound < best - FADING * (best - mark):
                idle = 0
            best = bound
            keep_round(work, left, m)
        idle += 1
        if idle > PATIENCE:
            break
        move_anchor(instance.places.tangent, work, n, m, 1.0 / (turn + FIRST_SHARE))
        adjust(instance.roles, work, n, left, m)
        adjust_tolls(instance.caps, work, n, m, bound - mark)
    restore_round(work, left, m)
    return best, left


@step
def completions(left: int, m: int) -> float:
    """Return the number of ways to choose ``m`` of ``left``."""
    ways = 1.0
    for b in range(m):
        ways *= (left - b) / (b + 1)
    return ways


@step
def _split(
    instance: Instance, work: Work, n: int, left: int, item: int, loss: float, spare: float
) -> tuple[int, int, float]:
    """Return (kind, axis or candidate, look); ``spare``: what the bound has to fall, vast while no set is known."""
    m = instance.size - n
    if completions(left, m) <= FEW:
        return ON_FRAME, item, 0.0
    if spare >= -0.5 * NOTHING:
        axis, look = seek_branch(instance.tones, work, left)
        if axis >= 0:
            return ON_LOOK, axis, look
    axis, look, hidden = look_branch(instance.tones, work, n, m)
    if axis >= 0 and hidden > max(work.tuning[MARGIN], SPARE_SHARE * spare) + LOSS_SHARE * loss:
        return ON_LOOK, axis, look
    return ON_FRAME, item, 0.0
