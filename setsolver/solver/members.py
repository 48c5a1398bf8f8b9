"""Sets and members: who may join, what a full set scores, and who is left after someone joined."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from setsolver.solver.compiled import NOTHING, step
from setsolver.solver.lookspace import SLIP, least_effort
from setsolver.solver.roles import allocate

if TYPE_CHECKING:
    from setsolver.domain.problem import Floats, Ints
    from setsolver.solver.instance import Caps, Instance, Places, Tones
    from setsolver.solver.workspace import RoleMoves

__all__ = ["admit", "allowed", "distance", "offer", "score_of", "valid"]


@step
def distance(places: Places, a: int, b: int) -> float:
    """Return the exact distance of the variety term between two renditions."""
    square = 0.0
    for e in range(places.spot.shape[1]):
        step_ = places.spot[a, e] - places.spot[b, e]
        square += step_ * step_
    return np.sqrt(square) if places.euclidean else square


@step
def allowed(caps: Caps, member: Ints, n: int, skip: int, item: int) -> bool:
    """Return whether ``item`` may stand beside members[:n] without position ``skip``: all caps and conflicts."""
    for g in range(caps.cap.shape[0]):
        label = caps.row[g, item]
        if label < 0:
            continue
        held = 0
        for i in range(n):
            if i != skip and caps.row[g, member[i]] == label:
                held += 1
        if held >= caps.cap[g]:
            return False
    frame = caps.frame[item]
    for f in range(caps.foe_first[frame], caps.foe_first[frame + 1]):
        for i in range(n):
            if i != skip and caps.frame[member[i]] == caps.foe[f]:
                return False
    return True


@step
def valid(instance: Instance, member: Ints) -> bool:
    """Return whether a full set keeps all caps, conflicts and wishes (reach and roles are ``score_of``'s)."""
    wanted = 0
    for i in range(instance.size):
        if not allowed(instance.caps, member, i, i, member[i]):
            return False
        if instance.wishes.wanted[member[i]]:
            wanted += 1
    return wanted == instance.wishes.frames


@step
def score_of(instance: Instance, member: Ints, low: Floats, high: Floats, kink: Floats, moves: RoleMoves) -> float:
    """Return the exact score of a full set with its look in the box; NOTHING where reach or role counts forbid it."""
    size, tones = instance.size, instance.tones
    effort = 0.0
    for axis in range(low.shape[0]):
        lowest, highest = low[axis], high[axis]
        for i in range(size):
            tone, width = tones.tone[member[i], axis], tones.width[axis]
            lowest, highest = max(lowest, tone - width), min(highest, tone + width)
        if lowest > highest + SLIP:
            return NOTHING
        if tones.weight[axis] > 0:
            highest = max(lowest, highest)
            least, _ = least_effort(tones.tone, member, size, axis, lowest, highest, tones.slack[axis], kink)
            effort += tones.weight[axis] * least
    gain = allocate(instance.roles, member, size, moves)
    if gain <= NOTHING:
        return NOTHING
    apart = 0.0
    for a in range(size):
        for b in range(a):
            apart += distance(instance.places, member[a], member[b])
    return gain - effort + instance.places.pair_weight * apart


@step
def offer(member: Ints, score: float, best: Floats, found: Ints) -> None:
    """Keep a set if it is the best so far."""
    if score > best[0]:
        best[0] = score
        for i in range(found.shape[0]):
            found[i] = member[i]


@step
def admit(
    caps: Caps, tones: Tones, members: Ints, low: Floats, high: Floats, alive: Ints, n: int, left: int, item: int
) -> tuple[int, int]:
    """Let ``item`` join: shrink the look box to its reach and drop who may not stand beside it; return n, left."""
    members[n] = item
    n += 1
    for axis in range(low.shape[0]):
        tone, width = tones.tone[item, axis], tones.width[axis]
        low[axis] = max(low[axis], tone - width)
        high[axis] = min(high[axis], tone + width)
    for g in range(caps.cap.shape[0]):
        label = caps.row[g, item]
        if label < 0:
            continue
        held = 0
        for i in range(n):
            if caps.row[g, members[i]] == label:
                held += 1
        if held >= caps.cap[g]:
            kept = 0
            for j in range(left):
                if caps.row[g, alive[j]] != label:
                    alive[kept] = alive[j]
                    kept += 1
            left = kept
    frame = caps.frame[item]
    for f in range(caps.foe_first[frame], caps.foe_first[frame + 1]):
        kept = 0
        for j in range(left):
            if caps.frame[alive[j]] != caps.foe[f]:
                alive[kept] = alive[j]
                kept += 1
        left = kept
    return n, left
