"""Size: how many frames the set has."""

from __future__ import annotations

import numpy as np

from setsolver.errors import BadBrief, TooFewFrames
from setsolver.rules.draft import Draft
from setsolver.rules.words import count

__all__ = ["Size"]


class Size:
    """The catalog must hold as many frames as the set, and enough must be left once other rules have spoken."""

    name = "size"

    def check(self, size: int, frames: int) -> None:
        """Refuse a size above the catalog.

        Raises
        ------
        BadBrief
            With both numbers and the way out.
        """
        if size > frames:
            raise BadBrief(
                f"size = {size}, but the catalog holds {count(frames, 'frame')}; lower size to {frames} or less"
                if frames
                else f"size = {size}, but the catalog holds no frame; scan a folder with photographs first"
            )

    def apply(self, draft: Draft) -> None:
        """Say the size, and refuse where other rules have left too few frames.

        Raises
        ------
        TooFewFrames
            With every rule that took frames out.
        """
        size = draft.brief.size
        draft.words["size"] = f"the set has {count(size, 'frame')}"
        left = len(np.setdiff1d(draft.table.frame, draft.excluded))
        if left < size:
            raise TooFewFrames(
                f"size = {size}, but only {left} of {count(len(draft.snapshot.frames), 'frame')} can be used: "
                + "; ".join(out.says for out in draft.ruled_out),
                tuple(draft.ruled_out),
                draft.reasons,
            )
