"""Moment cap: at most so many frames of one moment."""

from __future__ import annotations

from setsolver.domain.columns import moments_of
from setsolver.rules.draft import Draft
from setsolver.rules.term import Term
from setsolver.rules.words import count

__all__ = ["MomentCap"]


class MomentCap(Term):
    """One group row: the moment of each rendition's frame."""

    name = "moment"
    key = "repeats.moment"
    rank = 50

    def apply(self, draft: Draft) -> None:
        """Cap the moments."""
        cap = draft.brief.repeats.moment
        draft.cap(draft.labels(moments_of(draft.frames)), cap, "moment", self.says(cap))

    def says(self, cap: int) -> str:
        """Return the rule in words."""
        return f"at most {count(cap, 'frame')} of one moment"
