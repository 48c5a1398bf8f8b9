"""Good sets first: for one look everything is a top-N; its set, mended by swaps, is a bar for the proof."""

from __future__ import annotations

from typing import TYPE_CHECKING

from setsolver.solver.bound import move_anchor, pick, weigh
from setsolver.solver.compiled import NOTHING, ZERO, copy_row, kernel, step
from setsolver.solver.core import bar
from setsolver.solver.lookspace import charge, in_reach
from setsolver.solver.members import allowed, offer, score_of, valid
from setsolver.solver.roles import adjust

if TYPE_CHECKING:
    from setsolver.domain.problem import Floats
    from setsolver.solver.instance import Instance
    from setsolver.solver.workspace import Work

__all__ = ["improve", "start_at"]

ROUNDS = 12


@kernel
def start_at(instance: Instance, work: Work, look: Floats, low: Floats, high: Floats, candidates: int) -> None:
    """Build a set around a look, mend it by swaps among the heaviest candidates, keep it if it is the best so far."""
    size = instance.size
    copy_row(look, work.low)
    copy_row(look, work.high)
    total = instance.caps.frame.shape[0]
    for j in range(total):
        work.alive[j] = j
    left = in_reach(instance.tones, work.low, work.high, work.alive, total)
    if left < size:
        return
    charge(instance.tones, size, work.members, ZERO, work.low, work.high, work.alive, left, work.cost, work.kink)
    for e in range(work.anchor.shape[0]):
        work.anchor[e] = 0.0
    for r in range(work.premium.shape[0]):
        work.premium[r] = 0.0
    for j in range(left):
        work.picked[j] = False
    chosen = ZERO
    for turn in range(ROUNDS):
        weigh(instance, work, ZERO, left, turn)
        chosen = pick(instance.caps, work, ZERO, left, chosen, size)
        if chosen < size:
            return
        move_anchor(instance.places.tangent, work, ZERO, size, 1.0 / (turn + 2.0))
        adjust(instance.roles, work, ZERO, left, size)
    for b in range(size):
        work.members[b] = work.alive[work.top[b]]
    few = min(candidates, left)
    _heaviest_first(work, left, few)
    improve(instance, work, few, low, high)


@step
def _heaviest_first(work: Work, left: int, few: int) -> None:
    """Bring the ``few`` heaviest candidates to the front, heaviest first."""
    alive, weight = work.alive, work.weight
    for c in range(few):
        best = c
        for j in range(c + 1, left):
            if weight[j] > weight[best]:
                best = j
        alive[c], alive[best] = alive[best], alive[c]
        weight[c], weight[best] = weight[best], weight[c]


@step
def improve(instance: Instance, work: Work, few: int, low: Floats, high: Floats) -> None:
    """Swap one member for one of alive[:few], the best swap first, until none helps; offer the set that results."""
    size, member, wanted, frame = instance.size, work.members, instance.wishes.wanted, instance.caps.frame
    score = score_of(instance, member, low, high, work.kink, work.moves) if valid(instance, member) else NOTHING
    while True:
        best, place, newcomer = score, -1, -1
        for i in range(size):
            old = member[i]
            for c in range(few):
                item = work.alive[c]
                if item == old or (wanted[old] and frame[item] != frame[old]):
                    continue
                if not allowed(instance.caps, member, size, i, item):
                    continue
                member[i] = item
                trial = score_of(instance, member, low, high, work.kink, work.moves)
                if trial > best + 1e-9:
                    best, place, newcomer = trial, i, item
            member[i] = old
        if place < 0:
            break
        member[place] = newcomer
        score = best
    if score > bar(work.score, NOTHING) and valid(instance, member):
        offer(member, score, work.score, work.found)
