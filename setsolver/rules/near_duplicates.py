"""Near-duplicates: two frames that a viewer would call the same picture are never both in."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.columns import moments_of
from setsolver.domain.last import Last
from setsolver.domain.problem import Ints
from setsolver.rules.draft import Draft
from setsolver.rules.term import Term
from setsolver.rules.words import count

__all__ = ["NearDuplicates", "still_there"]

_pairs: Last[Ints] = Last()


class NearDuplicates(Term):
    """Pairs from the catalog and a cap for its series, less what the moment cap of 1 forbids already."""

    name = "near-duplicates"
    key = "repeats.moment"
    rank = 52

    def apply(self, draft: Draft) -> None:
        """Part the pairs of frames that are still there, and cap the series."""
        known = draft.snapshot.pairs
        pairs = _pairs.of((known,), lambda: np.array(known, dtype=np.int64).reshape(-1, 2))
        capped = draft.brief.repeats.moment == 1
        left = pairs[still_there(draft, pairs, besides_moments=capped)]
        draft.part(left, self.says(), lambda one, other: f"{one} and {other} are one picture to a viewer")
        if not capped:  # a series lies within one moment
            self._cap_series(draft)

    def says(self) -> str:
        """Return the rule in words."""
        return "no two frames that a viewer would call the same picture"

    def _cap_series(self, draft: Draft) -> None:
        label = [-1] * len(draft.frames)
        for number, series in enumerate(draft.snapshot.series):
            for frame in series:
                label[frame] = number
        labels = draft.labels(label)
        if (labels >= 0).any():
            draft.cap(labels, 1, "series", f"{self.says()}: at most {count(1, 'frame')} of one series")


def still_there(draft: Draft, pairs: Ints, *, besides_moments: bool) -> NDArray[np.bool_]:
    """Return which pairs of frames, ids [p, 2], may both still be in, as far as the pairs are to be told.

    besides_moments : leave out pairs of one moment, which its cap of 1 parts already.
    """
    there = np.zeros(len(draft.frames), np.bool_)
    there[draft.table.frame] = True
    left = np.asarray(there[pairs].all(axis=1))
    if besides_moments:
        one, other = moments_of(draft.frames)[pairs].T
        left &= (one != other) | (one < 0)
    return left
