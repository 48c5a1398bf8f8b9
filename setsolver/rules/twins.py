"""Twins: two frames that a viewer would call a repeat of each other are never both in."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

import numpy as np

from setsolver.domain.columns import moments_of
from setsolver.domain.snapshot import Snapshot
from setsolver.rules.draft import Draft
from setsolver.rules.term import Term
from setsolver.rules.twin_pairs import alike_pairs

__all__ = ["EASED", "Twins", "apart", "twins_of"]

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
        there = set(draft.table.frame.tolist())
        moment = moments_of(draft.frames).tolist()
        told = {frozenset(pair) for pair in draft.conflict}
        alone = draft.brief.repeats.moment > 1
        pairs = [
            (a, b)
            for a, b in twins_of(draft.snapshot, chance)
            if a in there
            and b in there
            and (alone or not moment[a] == moment[b] >= 0)
            and frozenset((a, b)) not in told
        ]
        words = draft.words.get("conflict")
        draft.part(pairs, self.says(), lambda one, other: f"{one} and {other} are repeats of each other to a viewer")
        if words is not None:
            draft.words["conflict"] = words if not pairs else f"{words}, nor repeats of each other"

    def _eased(self, draft: Draft, chance: float) -> float:
        """Return the brief's chance, or the next of ``EASED`` under which enough frames for a set are no twins.

        A shoot of one thing is all repeats; people want the least repetitive set of it, not none.
        """
        ids = np.unique(draft.table.frame)
        for eased in (chance, *(step for step in EASED if step > chance)):
            if apart(ids, twins_of(draft.snapshot, eased)) >= draft.brief.size + SPARE:
                return eased
        return 1.0

    def says(self) -> str:
        """Return the rule in words."""
        return "no two frames that a viewer would call repeats of each other"


def twins_of(snapshot: Snapshot, chance: float) -> Iterator[tuple[int, int]]:
    """Yield pairs of frame ids (a < b) that a viewer calls a repeat with this chance, 0 to 1, or more.

    None where the snapshot does not know how alike its frames are. Frames that CLIP has not seen have no twins.
    """
    if snapshot.signatures is None:
        return
    ids, signatures = snapshot.signatures()
    for pairs in alike_pairs(signatures, chance):
        yield from zip(ids[pairs[:, 0]].tolist(), ids[pairs[:, 1]].tolist(), strict=True)


def apart(ids: np.ndarray, pairs: Iterator[tuple[int, int]]) -> int:
    """Return how many frames a greedy choice finds no two of which are a pair: those with fewest twins first."""
    there, twins = set(ids.tolist()), defaultdict[int, set[int]](set)
    for a, b in pairs:
        if a in there and b in there:
            twins[a].add(b)
            twins[b].add(a)
    chosen, barred = len(there) - len(twins), set[int]()
    for one in sorted(twins, key=lambda frame: (len(twins[frame]), frame)):
        if one not in barred:
            chosen += 1
            barred |= twins[one]
    return chosen
