"""Is there any set at all under these hard rules? Exact, with a set as witness, for thousands of renditions.

Two parts share the work. The compiled search over look boxes (``windows``) decides where on every tone axis a window of
twice reach + slack can lie; CP-SAT decides, for renditions that all fit one window, roles, caps, conflicts and wishes.
Handing CP-SAT the tones as well took 10 to 30 s at 5,000 renditions, with or without its linear relaxation.

The look is exact: tones are compared in floats by the very expression of ``domain.validate.look_window``, with the same
tolerance, and only the ranks that result are searched. So no rounding can call a possible set impossible, and every
witness passes ``domain.validate.broken_rules``.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.validate import FEASIBILITY_TOLERANCE
from setsolver.solver.nesting import nested_chains
from setsolver.solver.one_look import pick
from setsolver.solver.windows import DEAD, EXACT, PAUSED, Counts, Places, Stack, enough, explore

if TYPE_CHECKING:
    from setsolver.domain.problem import Ints
    from setsolver.solver.ruleset import Ruleset

__all__ = ["Verdict", "possible"]

MOST_ROLES = 6
"""Up to here every set of roles is counted (2^R); above, single roles, all but one, and all."""


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
    able, teams, needs = _teams(rules)
    if np.any((teams == 0) & (needs > 0)) or max(rules.role_min.sum(), len(rules.include)) > rules.size_max:
        return Verdict(answer=False)
    items = np.flatnonzero(_usable(rules, able))
    if len(items) == 0:
        return Verdict(answer=False)
    counts = _counts(rules, items, able[items], teams, needs)
    everyone = np.arange(len(items))
    if np.any(counts.held > counts.cap[:, None]) or not enough(everyone, len(everyone), counts):
        return Verdict(answer=False)
    return _Hunt(rules, items, counts).run(seed, deadline)


def _teams(rules: Ruleset) -> tuple[Ints, Ints, Ints]:
    """Return each rendition's bits and, for sets of roles as bit masks, how many must be able to play one of them.

    A set T of roles must fill at least its own minima and what the other roles' maxima leave of the size, less the
    strangers that it may take. By Rado's theorem these counts are sufficient too where all caps nest and nothing else
    is asked. The highest bit is everybody's.
    """
    roles = len(rules.role_min)
    able = (rules.playable & (rules.role_max > 0)) @ (1 << np.arange(roles)) + (1 << roles)
    everyone = (1 << roles) - 1
    if roles <= MOST_ROLES:
        teams = list(range(everyone + 1))
    else:
        teams = sorted({0, everyone, *(1 << r for r in range(roles)), *(everyone ^ (1 << r) for r in range(roles))})
    inside = (np.array(teams)[:, None] >> np.arange(roles)) & 1
    most = np.minimum(rules.role_max, rules.size_min)
    needs = np.maximum(inside @ rules.role_min, rules.size_min - (1 - inside) @ most) - inside @ rules.strangers
    return able, np.array([*teams, 1 << roles]), np.append(needs, rules.size_min)


def _usable(rules: Ruleset, able: Ints) -> np.ndarray:
    """True [M] for renditions that may be in: not excluded, of use in a role, at peace with every included frame."""
    roles = len(rules.role_min)
    usable = ~np.isin(rules.frame, rules.exclude)
    if not rules.strangers.any():
        usable &= (able & ((1 << roles) - 1)) > 0
    wished = np.isin(rules.conflict, rules.include)
    foes = np.concatenate([rules.conflict[wished[:, 0], 1], rules.conflict[wished[:, 1], 0]])
    usable &= ~np.isin(rules.frame, foes)
    included = np.isin(rules.frame, rules.include)
    for labels, cap in zip(rules.group, rules.group_cap, strict=True):
        for label in np.unique(labels[included & (labels >= 0)]):
            within = [f for f in rules.include if np.all(labels[rules.frame == f] == label)]
            if len(within) >= cap:  # wishes fill this group
                usable &= included | (labels != label)
    return usable


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
        self.places = Places(first, last, np.empty(len(items), dtype=np.int64))
        self.stack = _one_box(last)

    def run(self, seed: int, deadline: float | None) -> Verdict:
        """Search until a set is found, every box is given up, or the deadline passes."""
        depth, boxes, misses = 1, 0, 0
        while True:
            tries = int(boxes >= 4**misses - 1)  # tries that fail become rarer, so they never rule the time
            answer = explore(depth, self.stack, self.counts, self.places, tries)
            what, depth, count, spent = (int(part) for part in answer)
            boxes += spent
            if what == DEAD:
                return Verdict(answer=False)
            if deadline is not None and time.perf_counter() > deadline:
                return Verdict(answer=None)
            if what == PAUSED:
                continue
            pairs = pick(self.rules, self.items[self.places.out[:count]], seed, deadline)
            if pairs is None:
                return Verdict(answer=None)
            if pairs:
                chosen, roles = zip(*sorted(pairs), strict=True)
                return Verdict(answer=True, chosen=chosen, roles=roles)
            misses += what != EXACT


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
