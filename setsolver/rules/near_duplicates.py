"""Near-duplicates: two frames that a viewer would call the same picture are never both in."""

from __future__ import annotations

import numpy as np

from setsolver.rules.draft import Draft, Group
from setsolver.rules.words import count

__all__ = ["NearDuplicates"]


class NearDuplicates:
    """Conflicts from the catalog's pairs and a cap for its series, less what the moment cap of 1 forbids already."""

    name = "near-duplicates"

    def apply(self, draft: Draft) -> None:
        """Add the conflicts between frames that are still there."""
        frames = draft.snapshot.frames
        there = set(draft.table.frame.tolist())
        capped = draft.brief.repeats.moment == 1
        draft.conflict += [
            (a, b)
            for a, b in draft.snapshot.pairs
            if a in there and b in there and not (capped and frames[a].moment == frames[b].moment >= 0)
        ]
        draft.words["conflict"] = self.says()
        for index, (a, b) in enumerate(draft.conflict):
            draft.words[f"conflict[{index}]"] = f"{frames[a].path} and {frames[b].path} are one picture to a viewer"
        self._cap_series(draft, capped=capped)

    def says(self) -> str:
        """Return the rule in words."""
        return "no two frames that a viewer would call the same picture"

    def _cap_series(self, draft: Draft, *, capped: bool) -> None:
        if capped:  # a series lies within one moment
            return
        label = np.full(len(draft.snapshot.frames), -1, np.int64)
        for number, series in enumerate(draft.snapshot.series):
            label[list(series)] = number
        labels = label[draft.table.frame]
        if (labels >= 0).any():
            draft.groups.append(Group(labels, 1, f"{self.says()}: at most {count(1, 'frame')} of one series"))
