"""Near-duplicates: two frames that a viewer would call the same picture are never both in."""

from __future__ import annotations

from setsolver.domain.columns import moments_of
from setsolver.rules.draft import Draft
from setsolver.rules.term import Term
from setsolver.rules.words import count

__all__ = ["NearDuplicates"]


class NearDuplicates(Term):
    """Pairs from the catalog and a cap for its series, less what the moment cap of 1 forbids already."""

    name = "near-duplicates"
    key = "repeats.moment"
    rank = 52

    def apply(self, draft: Draft) -> None:
        """Part the pairs of frames that are still there, and cap the series."""
        moment, there = moments_of(draft.frames).tolist(), set(draft.table.frame.tolist())
        capped = draft.brief.repeats.moment == 1
        pairs = [
            (a, b)
            for a, b in draft.snapshot.pairs
            if a in there and b in there and not (capped and moment[a] == moment[b] >= 0)
        ]
        draft.part(pairs, self.says(), lambda one, other: f"{one} and {other} are one picture to a viewer")
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
