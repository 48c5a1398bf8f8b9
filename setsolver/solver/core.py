"""The exact finish: a node with one or two places left is closed by looking at every completion.

Invariant: every completion that scores above the bar is scored exactly; a completion is skipped only where a bound of
its own (charges of ``lookspace``, best gains with premiums) is not above the bar.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from setsolver.solver.compiled import NOTHING, step
from setsolver.solver.members import allowed, distance, offer, score_of, valid
from setsolver.solver.roles import favourite, premium_due

if TYPE_CHECKING:
    from setsolver.domain.problem import Floats, Ints
    from setsolver.solver.instance import Instance
    from setsolver.solver.workspace import Work

__all__ = ["PAIRS_UP_TO", "bar", "close_one", "close_two", "try_set"]

PAIRS_UP_TO = 64
TIE = 1e-9  # sets closer than this, relative to the score, count as equal


@step
def bar(score: Floats, floor: float) -> float:
    """Return the score that a set must exceed to matter."""
    if score[0] <= NOTHING:
        return floor
    return float(max(floor, score[0] + TIE * max(1.0, abs(score[0]))))


@step
def try_set(instance: Instance, work: Work, member: Ints, floor: float) -> None:
    """Score a full set if it is valid, and keep it if it is above the bar."""
    if valid(instance, member):
        score = score_of(instance, member, work.low, work.high, work.kink, work.moves)
        if score > bar(work.score, floor):
            offer(member, score, work.score, work.found)


@step
def _base(instance: Instance, work: Work, n: int) -> float:
    """Return (score of the members without tone, gains with premiums; constant of the premiums taken off)."""
    total = -premium_due(instance.roles, work.premium)
    for a in range(n):
        _, gain = favourite(instance.roles.gain, work.members[a], work.premium)
        total += gain
        for b in range(a):
            total += instance.places.pair_weight * distance(instance.places, work.members[a], work.members[b])
    return total


@step
def _join(instance: Instance, work: Work, n: int, left: int) -> None:
    """Fill ``weight``: what each candidate adds to the members, its tone charge taken off."""
    for j in range(left):
        item = work.alive[j]
        _, gain = favourite(instance.roles.gain, item, work.premium)
        apart = 0.0
        for i in range(n):
            apart += distance(instance.places, work.members[i], item)
        work.weight[j] = gain - work.cost[j] + instance.places.pair_weight * apart


@step
def close_one(instance: Instance, work: Work, n: int, left: int, floor: float) -> None:
    """Try every candidate for the last place."""
    base = _base(instance, work, n)
    _join(instance, work, n, left)
    for i in range(n):
        work.trial[i] = work.members[i]
    for j in range(left):
        if base + work.weight[j] > bar(work.score, floor):
            work.trial[n] = work.alive[j]
            try_set(instance, work, work.trial, floor)


@step
def close_two(instance: Instance, work: Work, n: int, left: int, floor: float) -> None:
    """Try every pair of candidates for the last two places."""
    base = _base(instance, work, n)
    _join(instance, work, n, left)
    for i in range(n):
        work.trial[i] = work.members[i]
    for j in range(left):
        work.trial[n] = work.alive[j]
        for h in range(j):
            other = work.alive[h]
            most = base + work.weight[j] + work.weight[h]
            most += instance.places.pair_weight * distance(instance.places, work.alive[j], other)
            if most > bar(work.score, floor) and allowed(instance.caps, work.trial, n + 1, n + 1, other):
                work.trial[n + 1] = other
                try_set(instance, work, work.trial, floor)
