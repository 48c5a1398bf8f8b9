"""Is there any set at all under these hard rules? Exact, with a set as witness, for thousands of renditions.

Three parts share the work. The compiled search over look boxes (``windows``) decides where on every tone axis a window
of twice reach + slack can lie; CP-SAT decides, for renditions that all fit one window, roles, caps, conflicts and
wishes. Where counting is no help, because conflicts or crossing caps are what clashes, the search turns to frames: one
of the scarcest must be in. Handing CP-SAT the tones of all renditions takes it 10 s and more at 5,000
(``benchmarks/compare_feasible.py``).

The look is exact: tones are compared in floats by the very expression of ``domain.validate.look_window``, with the same
tolerance, and only the ranks that result are searched. So no rounding can call a possible set impossible, and every
witness passes ``domain.validate.broken_rules``.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.validate import FEASIBILITY_TOLERANCE
from setsolver.solver.nesting import nested_chains
from setsolver.solver.one_look import Pairs, set_among
from setsolver.solver.teams import scarcest, teams_of
from setsolver.solver.usable import usable
from setsolver.solver.windows import DEAD, PAUSED, TRY, Counts, Places, Stack, enough, explore

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from setsolver.domain.problem import Ints
    from setsolver.solver.ruleset import Ruleset

__all__ = ["Verdict", "possible"]

MOST_MISSES = 12
"""After so many the search turns from looks to frames."""

BOXES_A_MISS = 20
"""So many boxes are explored for each time that CP-SAT found no set, so it never rules the time."""

MOST_WITH_TONES = 300
"""Up to so many renditions CP-SAT is asked with their tones: about a second."""


HANDFUL = 60
"""Up to so many renditions are asked by themselves whether enough of them go together: some milliseconds."""


@dataclass(frozen=True)
class Verdict:
    """``answer`` True with a set (``chosen``, ``roles``), False = proven impossible, None = time ran out before."""

    answer: bool | None
    chosen: tuple[int, ...] = ()
    roles: tuple[int, ...] = ()


def possible(rules: Ruleset, *, seed: int = 0, deadline: float | None = None) -> Verdict:
    """Return whether a set exists under the rules, with one as witness.

    Parameters
    ----------
    deadline : moment of ``time.perf_counter()`` at which to give up with answer None.
    """
    able, teams, needs = teams_of(rules)
    if np.any((teams == 0) & (needs > 0)) or max(rules.role_min.sum(), len(rules.include)) > rules.size_max:
        return Verdict(answer=False)
    items = np.flatnonzero(usable(rules, able))
    if len(items) == 0:
        return Verdict(answer=False)
    counts = _counts(rules, items, able[items], teams, needs)
    everyone = np.arange(len(items))
    if np.any(counts.held > counts.cap[:, None]) or not enough(everyone, len(everyone), counts):
        return Verdict(answer=False)
    if any(_too_few(rules, items, able[items] & team > 0, need, seed) for team, need in zip(teams, needs, strict=True)):
        return Verdict(answer=False)
    branches = scarcest(rules, able, teams, needs)
    verdict = _Hunt(rules, items, counts).run(seed, deadline, may_stick=len(branches) > 0)
    return verdict or _by_frames(rules, branches, seed, deadline)


def _too_few(rules: Ruleset, everyone: Ints, fit: NDArray[np.bool_], need: int, seed: int) -> bool:
    """True where the few renditions of a team cannot give as many as are needed that go together.

    The rest of the set is forgotten: that can only let more through, and makes of thousands of renditions a handful.
    """
    items = everyone[fit]
    if not 1 < need <= len(items) <= HANDFUL:
        return False
    total, one = len(rules.frame), np.ones(1, dtype=np.int64)
    alone = replace(
        rules,
        size_min=int(need),
        size_max=int(need),
        playable=np.ones((total, 1), dtype=np.bool_),
        strangers=0 * one,
        role_min=0 * one,
        role_max=total * one,
        include=rules.include[:0],  # a wish may be granted by a rendition that is not of the team
    )
    return set_among(alone, items, seed, None, _ranks(alone, items)) == []


def _by_frames(rules: Ruleset, frames: Ints, seed: int, deadline: float | None) -> Verdict:
    """Ask again with each of ``frames`` as the first of them that is in: a wish makes conflicts and tones bite."""
    unknown = False
    for number, frame in enumerate(frames):
        tried = replace(
            rules, include=np.append(rules.include, frame), exclude=np.append(rules.exclude, frames[:number])
        )
        verdict = possible(tried, seed=seed, deadline=deadline)
        if verdict.answer:
            return verdict
        unknown |= verdict.answer is None
    return Verdict(answer=None if unknown else False)


def _counts(rules: Ruleset, items: Ints, able: Ints, teams: Ints, needs: Ints) -> Counts:
    label, cap, chains = nested_chains(rules.frame[items], rules.group[:, items], rules.group_cap)
    held = np.zeros((len(label), int(label.max(initial=0)) + 1), dtype=np.int64)
    wish = np.full(len(items), -1, dtype=np.int64)
    for number, frame in enumerate(rules.include):
        granting = rules.frame[items] == frame
        wish[granting] = number
        for level, labels in enumerate(label[:, granting]):  # taken whichever rendition of the frame comes in
            if len(labels) and labels[0] >= 0 and np.all(labels == labels[0]):
                held[level, labels[0]] += 1
    binding, seen = needs > 0, np.zeros(len(rules.include), dtype=np.int64)
    room = rules.size_max - len(rules.include)
    return Counts(able, teams[binding], needs[binding], label, cap, chains, held, held.copy(), wish, seen, room)


class _Hunt:
    """One search: the stack of boxes lives here, the compiled loop works on it until there is something to decide."""

    def __init__(self, rules: Ruleset, items: Ints, counts: Counts) -> None:
        self.rules, self.items, self.counts = rules, items, counts
        first, last = _ranks(rules, items)
        room = [np.empty(shape, dtype=np.int64) for shape in (len(items), len(items), (2, len(last)), len(last))]
        self.places = Places(first, last, *room)
        self.stack = _one_box(last)

    def run(self, seed: int, deadline: float | None, *, may_stick: bool) -> Verdict | None:
        """Search until a set is found, every box is given up, or the deadline passes.

        None where ``may_stick`` and CP-SAT has said no so often that counts are no help here.
        """
        depth, boxes, misses = 1, 0, 0
        while misses < MOST_MISSES or not may_stick:
            tries = int(boxes >= BOXES_A_MISS * misses)
            answer = explore(depth, self.stack, self.counts, self.places, tries)
            what, depth, count, spent = (int(part) for part in answer)
            boxes += spent
            if what == DEAD:
                return Verdict(answer=False)
            if deadline is not None and time.perf_counter() > deadline:
                return Verdict(answer=None)
            if what == PAUSED:
                continue
            pairs = set_among(self.rules, self.items[self.places.out[:count]], seed, deadline)
            if pairs == [] and misses == 0 and self._never(seed, deadline):
                return Verdict(answer=False)
            if pairs == [] and what == TRY:
                pairs, depth = self._settle(depth, seed, deadline)
            if pairs is None:
                return Verdict(answer=None)
            if pairs:
                chosen, roles = zip(*sorted(pairs), strict=True)
                return Verdict(answer=True, chosen=chosen, roles=roles)
            misses += 1
        return None

    def _never(self, seed: int, deadline: float | None) -> bool:
        """True where there is no set even if tones are forgotten: then no look needs to be searched."""
        return set_among(self.rules, self.items, seed, deadline) == []

    def _settle(self, depth: int, seed: int, deadline: float | None) -> tuple[Pairs | None, int]:
        """Ask CP-SAT about all that is alive in the top box: drop the box where that is a no, end where it is a set.

        Counts were enough but no set was found, so conflicts or caps that cross are what clashes, which counts do not
        see and CP-SAT learns. Few renditions are asked with their tones; many without, which can only give a no.
        """
        top = depth - 1
        alive = self.stack.arena[self.stack.begin[top] : self.stack.begin[depth]]
        windows = (self.places.first[:, alive], self.places.last[:, alive]) if len(alive) <= MOST_WITH_TONES else None
        pairs = set_among(self.rules, self.items[alive], seed, deadline, windows)
        if pairs and windows is None:
            return [], depth
        return pairs, top


def _one_box(last: Ints) -> Stack:
    """Return a stack with the box of all looks on it."""
    axes, total = last.shape
    room = 64 * max(1, axes) + 16  # every split leaves at most 3/4 of an axis, so this is deep enough
    low, high = np.zeros((room, axes), dtype=np.int64), np.zeros((room, axes), dtype=np.int64)
    high[0] = last.max(axis=1)
    begin, arena = np.zeros(room + 1, dtype=np.int64), np.empty(total * room, dtype=np.int64)
    begin[1], arena[:total] = total, np.arange(total)
    return Stack(low, high, begin, np.zeros(room, dtype=np.int64), arena)


def _ranks(rules: Ruleset, items: Ints) -> tuple[Ints, Ints]:
    """Return (first, last), int64[K', M]: a window with low end at the tone of rank r holds i if first <= r <= last.

    Only axes on which the rule can bind are kept. The comparison is that of ``look_window`` in ``domain.validate``.
    """
    first, last = [], []
    for axis in np.flatnonzero(np.isfinite(rules.width)):
        tone, width = rules.tone[items, axis], rules.width[axis]
        values = np.unique(tone)
        start = np.searchsorted(values + width + FEASIBILITY_TOLERANCE, tone - width)
        if start.any():
            first.append(start)
            last.append(np.searchsorted(values, tone))
    shape = (len(first), len(items))
    return np.array(first, dtype=np.int64).reshape(shape), np.array(last, dtype=np.int64).reshape(shape)
