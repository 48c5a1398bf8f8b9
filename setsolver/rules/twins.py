"""Twins: two frames that a viewer would call a repeat of each other are never both in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from setsolver.domain.distinct import distinct
from setsolver.domain.problem import Ints
from setsolver.domain.snapshot import Snapshot
from setsolver.rules.draft import Draft
from setsolver.rules.near_duplicates import still_there
from setsolver.rules.term import Term
from setsolver.rules.twin_pairs import alike_pairs

__all__ = ["EASED", "Twins", "apart", "twin_blocks", "twins_of"]

EASED = (0.1, 0.2, 0.3, 0.45, 0.6, 0.75, 0.9)
"""Chances that are tried in turn where too many frames of a catalog repeat each other."""
SPARE = 1
"""Frames beyond a set's size that should be no twins, so that there is a choice."""


class Twins(Term):
    """Pairs of the catalog whose chance of being called a repeat is that of the brief or more.

    The same perch, table or wall at another minute; near-duplicates and moments are told apart by rules of their own.
    """

    name = "twins"
    key = "repeats.twins"
    rank = 53

    def apply(self, draft: Draft) -> None:
        """Part the pairs of frames that are still there, and in no moment together where that has its own cap of 1."""
        chance = draft.brief.repeats.twins
        if chance >= 1:
            return
        chance = self._eased(draft, chance)
        alone = draft.brief.repeats.moment > 1
        frames, told = len(draft.frames), draft.conflict
        left = [
            pairs[still_there(draft, pairs, besides_moments=not alone)] for pairs in twin_blocks(draft.snapshot, chance)
        ]
        pairs = np.concatenate([np.zeros((0, 2), np.int64), *left])
        known = np.sort(told, axis=1) @ (frames, 1)
        pairs = pairs[~np.isin(pairs @ (frames, 1), known)]
        words = draft.words.get("conflict")
        draft.part(pairs, self.says(), lambda one, other: f"{one} and {other} are repeats of each other to a viewer")
        if words is not None:
            draft.words["conflict"] = words if not len(pairs) else f"{words}, nor repeats of each other"

    def _eased(self, draft: Draft, chance: float) -> float:
        """Return the brief's chance, or the next of ``EASED`` under which enough frames for a set are no twins.

        A shoot of one thing is all repeats; people want the least repetitive set of it, not none.
        """
        ids, most = distinct(draft.table.frame), draft.brief.size + SPARE
        for eased in (chance, *(step for step in EASED if step > chance)):
            if apart(ids, twin_blocks(draft.snapshot, eased), most) == most:
                return eased
        return 1.0

    def says(self) -> str:
        """Return the rule in words."""
        return "no two frames that a viewer would call repeats of each other"


def twins_of(snapshot: Snapshot, chance: float) -> Iterator[tuple[int, int]]:
    """Yield pairs of frame ids (a < b) that a viewer calls a repeat with this chance, 0 to 1, or more.

    None where the snapshot does not know how alike its frames are. Frames that CLIP has not seen have no twins.
    """
    for pairs in twin_blocks(snapshot, chance):
        yield from map(tuple, pairs.tolist())


def twin_blocks(snapshot: Snapshot, chance: float) -> Iterator[Ints]:
    """Yield what ``twins_of`` yields, many at once: ids [p, 2]."""
    if snapshot.signatures is None:
        return
    ids, signatures = snapshot.signatures()
    for pairs in alike_pairs(signatures, chance):
        yield ids[pairs]


def apart(ids: Ints, blocks: Iterable[Ints], most: int) -> int:
    """Return how many frames, ``most`` at most, a greedy choice finds no two of which are a pair.

    Those with fewest twins come first. ids : frames that may be chosen. blocks : pairs of frames, [p, 2] each.
    """
    place = np.full(max(ids.max(initial=-1), 0) + 1, -1)
    place[ids] = np.arange(len(ids))
    pairs = np.concatenate([np.zeros((0, 2), np.int64), *(_among(place, block) for block in blocks)])
    twins = np.bincount(pairs.ravel(), minlength=len(ids))
    chosen = int((twins == 0).sum())
    if chosen >= most:
        return most
    both = np.concatenate([pairs, pairs[:, ::-1]])
    both = both[np.argsort(both[:, 0], kind="stable")]
    start, barred = np.searchsorted(both[:, 0], np.arange(len(ids) + 1)), np.zeros(len(ids), np.bool_)
    for one in np.argsort(twins, kind="stable").tolist():
        if twins[one] and not barred[one]:
            chosen += 1
            if chosen == most:
                break
            barred[both[start[one] : start[one + 1], 1]] = True
    return chosen


def _among(place: Ints, pairs: Ints) -> Ints:
    """Return the pairs of which both have a place, as places."""
    found = place[np.minimum(pairs, len(place) - 1)]
    there: Ints = found[((found >= 0) & (pairs < len(place))).all(axis=1)]
    return there
