"""Rejection: what the photographer rejected is out."""

from __future__ import annotations

import numpy as np

from setsolver.domain.columns import Column
from setsolver.rules.draft import Draft
from setsolver.rules.term import Term
from setsolver.rules.words import count

__all__ = ["Rejection"]

_REJECTED = Column(lambda frame: (frame.shot.rating or 0.0) < 0, np.bool_)


class Rejection(Term):
    """Takes out frames with the rating -1 (XMP specification part 1, xmp:Rating), unless the brief includes them."""

    name = "rejection"
    key = "frames.include"
    rank = 10
    waived = True

    def apply(self, draft: Draft) -> None:
        """Take out the rows of rejected frames."""
        rejected = draft.by_frame(_REJECTED) > 0
        draft.rule_out(self, rejected, self.says, lambda _: "you rejected it (rating -1)")

    def says(self, frames: int) -> str:
        """Return the sentence for frames that are out."""
        return f"{count(frames, 'frame')} you rejected (rating -1)"
