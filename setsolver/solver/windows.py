"""Is there a look within reach of enough renditions? A compiled search over boxes of looks.

On every axis the chosen tones must fit into one window of twice reach + slack, so a set exists only if some window,
placed with its low end on a rendition's tone, holds one. All comparisons of tones are made once, outside, in the floats
of ``domain.validate``; here a window's low end is a *rank* among the tones of its axis, and a rendition lies in the
window exactly where ``first <= rank <= last``: nothing is scaled or rounded.

Invariant: a box is given up only when the renditions that lie in *any* of its windows fail a necessary condition (not
enough under the caps for some set of roles), so no set is ever lost.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from setsolver.solver.bundle import Bundle
from setsolver.solver.compiled import ZERO, copy_row, kernel, step

if TYPE_CHECKING:
    from setsolver.domain.problem import Ints

__all__ = ["DEAD", "EXACT", "PAUSED", "TRY", "Counts", "Places", "Stack", "enough", "explore"]

DEAD, EXACT, TRY, PAUSED = 0, 1, 2, 3

BOXES_A_TURN = 2000
"""Boxes between two looks at the clock: a few milliseconds."""


class Counts(Bundle):
    """What must be enough.

    able [M] : bit mask of the teams' bits that each rendition has; teams, needs [T] : masks of bits, and how many
    renditions with at least one of the bits are needed; label [L, M], cap [L] : labels (-1 = in no group) of a level;
    chains [C + 1] : level ranges of nested levels; held [L, labels] : how much of each cap the wishes take;
    used : scratch, equal to held before and after; wish [M] : number of the wish that a rendition grants or -1;
    seen [wishes] : scratch; room : how many renditions may come in besides the wishes.
    """

    able: Ints
    teams: Ints
    needs: Ints
    label: Ints
    cap: Ints
    chains: Ints
    held: Ints
    used: Ints
    wish: Ints
    seen: Ints
    room: int


class Places(Bundle):
    """Where each rendition lies: first, last [K, M] window ranks.

    Scratch: out [M] : renditions to decide about; parent [M], box [2, K] : the box being split; some [K].
    """

    first: Ints
    last: Ints
    out: Ints
    parent: Ints
    box: Ints
    some: Ints


class Stack(Bundle):
    """Boxes to do: low, high [depth, K] window ranks; renditions arena[begin[d]:begin[d+1]]; tried [depth] 0 or 1."""

    low: Ints
    high: Ints
    begin: Ints
    tried: Ints
    arena: Ints


@kernel
def enough(alive: Ints, count: int, counts: Counts) -> bool:
    """True where every wish can be granted and every team of roles has enough of alive[:count] under every chain.

    Picking greedily is exact under nested (laminar) caps: they are a matroid. So this is necessary, whatever the order.
    """
    for team in range(len(counts.teams)):
        granted = _granted(alive, count, counts.teams[team], counts)
        missing = counts.needs[team] - granted
        if missing > counts.room:
            return False
        for chain in range(len(counts.chains) - 1):
            if missing > 0 and not _besides(alive, count, team, chain, missing, counts):
                return False
    return _granted(alive, count, ZERO - 1, counts) == len(counts.seen)


@step
def _granted(alive: Ints, count: int, team: int, counts: Counts) -> int:
    """Return how many wishes one of alive[:count] with a bit of ``team`` grants (-1 has all bits)."""
    granted = ZERO
    for w in range(len(counts.seen)):
        counts.seen[w] = 0
    for j in range(count if len(counts.seen) else 0):
        wish = counts.wish[alive[j]]
        if wish >= 0 and counts.able[alive[j]] & team and not counts.seen[wish]:
            counts.seen[wish] = 1
            granted += 1
    return granted


@step
def _besides(alive: Ints, count: int, team: int, chain: int, missing: int, counts: Counts) -> bool:
    """True where ``missing`` renditions of the team that grant no wish fit under the caps of the chain, wishes held."""
    label, used = counts.label, counts.used
    begin, end = counts.chains[chain], counts.chains[chain + 1]
    got, stop = 0, 0
    while stop < count and got < missing:
        i = alive[stop]
        stop += 1
        free = counts.wish[i] < 0 and counts.able[i] & counts.teams[team]
        for level in range(begin, end):
            if label[level, i] >= 0 and used[level, label[level, i]] >= counts.cap[level]:
                free = False
        if free:
            got += 1
            for level in range(begin, end):
                if label[level, i] >= 0:
                    used[level, label[level, i]] += 1
    for j in range(stop):
        for level in range(begin, end):
            at = label[level, alive[j]]
            if at >= 0:
                used[level, at] = counts.held[level, at]
    return got >= missing


@step
def _tighten(low: Ints, high: Ints, alive: Ints, last: Ints) -> None:
    """Shrink a box in place: the low end of a window is the tone of a rendition in the set, so of one alive."""
    for k in range(len(low)):
        least, most = high[k], low[k]
        for j in range(len(alive)):
            rank = min(max(last[k, alive[j]], low[k]), high[k])
            least, most = min(least, rank), max(most, rank)
        low[k], high[k] = least, most


@step
def _always(low: Ints, high: Ints, alive: Ints, places: Places) -> tuple[int, int]:
    """Put the renditions that lie in every window of the box into ``out``; return their number and the axis to split.

    That axis is the one on which most renditions lie in some windows only.
    """
    some = places.some
    for k in range(len(low)):
        some[k] = 0
    count = 0
    for j in range(len(alive)):
        i = alive[j]
        inside = True
        for k in range(len(low)):
            if places.first[k, i] > low[k] or places.last[k, i] < high[k]:
                some[k] += 1
                inside = False
        if inside:
            places.out[count] = i
            count += 1
    axis = 0
    for k in range(len(low)):
        if some[k] > some[axis]:
            axis = k
    return count, axis


@step
def _middle(low: int, high: int, alive: Ints, last: Ints) -> int:
    """Return the last rank of the lower half: near the mean of what is alive, and never far from the middle."""
    total = 0
    for j in range(len(alive)):
        total += min(max(last[alive[j]], low), high)
    quarter = (high - low) // 4
    return max(low, min(max(total // len(alive), low + quarter), high - 1 - quarter))


@step
def _split(top: int, axis: int, stack: Stack, counts: Counts, places: Places) -> int:
    """Replace the box ``top`` by those of its halves that may hold a set; return the new depth."""
    low, high, begin, tried, arena = stack.low, stack.high, stack.begin, stack.tried, stack.arena
    left = begin[top + 1] - begin[top]
    alive = places.parent[:left]
    copy_row(arena[begin[top] : begin[top + 1]], alive)
    copy_row(low[top], places.box[0])
    copy_row(high[top], places.box[1])
    cut = _middle(low[top, axis], high[top, axis], alive, places.last[axis])
    depth = top
    for half in range(2):
        copy_row(places.box[0], low[depth])
        copy_row(places.box[1], high[depth])
        if half == 0:
            high[depth, axis] = cut
        else:
            low[depth, axis] = cut + 1
        fill = begin[depth]
        for j in range(len(alive)):
            i = alive[j]
            if places.first[axis, i] <= high[depth, axis] and places.last[axis, i] >= low[depth, axis]:
                arena[fill] = i
                fill += 1
        child = arena[begin[depth] : fill]
        if enough(child, len(child), counts):
            begin[depth + 1] = fill
            tried[depth] = 0
            depth += 1
    return depth


@kernel
def explore(depth: int, stack: Stack, counts: Counts, places: Places, tries: int) -> tuple[int, int, int, int]:
    """Run the search on the stack until it is empty, has something to decide, or BOXES_A_TURN boxes are spent.

    Returns (what, depth, count, boxes). DEAD: nothing left, so no set exists. EXACT: out[:count] lie in every window of
    the box, which is taken off the stack. TRY (only where ``tries``): out[:count] lie in every window and are enough by
    counts; the box stays. PAUSED: the turn is over.
    """
    low, high, begin, tried, arena = stack.low, stack.high, stack.begin, stack.tried, stack.arena
    boxes = 0
    while depth > 0:
        if boxes == BOXES_A_TURN:
            return PAUSED, depth, 0, boxes
        boxes += 1
        top = depth - 1
        alive = arena[begin[top] : begin[depth]]
        _tighten(low[top], high[top], alive, places.last)
        count, axis = _always(low[top], high[top], alive, places)
        if count == len(alive):
            return EXACT, top, count, boxes
        if tries and not tried[top] and enough(places.out, count, counts):
            tried[top] = 1
            return TRY, depth, count, boxes
        depth = _split(top, axis, stack, counts, places)
    return DEAD, 0, 0, boxes
