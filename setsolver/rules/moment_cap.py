"""Moment cap: at most so many frames of one moment."""

from __future__ import annotations

import numpy as np

from setsolver.rules.draft import Draft, Group
from setsolver.rules.words import count

__all__ = ["MomentCap"]


class MomentCap:
    """One group row: the moment of each rendition's frame."""

    name = "moment"

    def apply(self, draft: Draft) -> None:
        """Add the group row."""
        moments = np.array([frame.moment for frame in draft.snapshot.frames], dtype=np.int64)
        cap = draft.brief.repeats.moment
        draft.groups.append(Group(np.maximum(moments, -1)[draft.table.frame], cap, self.says(cap)))

    def says(self, cap: int) -> str:
        """Return the rule in words."""
        return f"at most {count(cap, 'frame')} of one moment"
