"""Size: how many frames the set has."""

from __future__ import annotations

import numpy as np

from setsolver.domain.distinct import distinct
from setsolver.errors import BadBrief, TooFewFrames
from setsolver.rules.draft import Draft
from setsolver.rules.term import Term
from setsolver.rules.words import count

__all__ = ["Size"]


class Size(Term):
    """The catalog must hold as many frames as the set, and enough must be left once other rules have spoken."""

    name = "size"
    key = "size"
    rank = 30

    def apply(self, draft: Draft) -> None:
        """Say the size, and refuse where the catalog, or what other rules have left of it, holds too few frames.

        Raises
        ------
        BadBrief
            For a size above the catalog. TooFewFrames : with every rule that took frames out.
        """
        size, frames = 1 if draft.modest else draft.brief.size, len(draft.frames)
        if size > frames:
            raise BadBrief(
                f"size = {size}, but the catalog holds {count(frames, 'frame')}; lower size to {frames} or less"
            )
        draft.words["size"] = f"the set has {count(size, 'frame')}"
        left = int((~np.isin(distinct(draft.table.frame), draft.excluded)).sum())
        if left < size:
            raise TooFewFrames(
                f"size = {size}, but {f'only {left}' if left else 'none'} of {count(frames, 'frame')} can be used: "
                + "; ".join(out.in_full for out in draft.ruled_out),
                tuple(draft.ruled_out),
                draft.reasons,
            )
