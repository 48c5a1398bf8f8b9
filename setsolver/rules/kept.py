"""Kept: points for a crop that keeps the photographer's frame."""

from __future__ import annotations

from setsolver.rules.chosen import Member
from setsolver.rules.draft import Draft
from setsolver.rules.term import GainTerm

__all__ = ["Kept"]

MUCH = 0.9
"""Share of the frame from which a crop is called the whole of it, but for a little."""
WHOLE = 0.995
"""And from which it would be said as 100 %."""


class Kept(GainTerm):
    """A crop earns the share of the frame that lies inside: an upright in a set of landscapes loses more than half."""

    name = "kept"
    key = "weights.kept"
    rank = 44

    def apply(self, draft: Draft) -> None:
        """Pay the share."""
        draft.pay(self, draft.table.marks.area)

    def says(self, member: Member) -> str:
        """Return the share."""
        share = float(member.marks.area)
        if share >= WHOLE:
            return "keeps the whole frame"
        return f"keeps {100 * share:.0f} % of the frame" + (", nearly as shot" if share >= MUCH else "")
