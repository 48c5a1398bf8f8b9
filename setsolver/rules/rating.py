"""Rating: points for the photographer's own stars."""

from __future__ import annotations

from setsolver.domain.columns import Column
from setsolver.rules.chosen import Member
from setsolver.rules.draft import Draft
from setsolver.rules.term import GainTerm

__all__ = ["Rating"]

MOST = 5.0
"""Stars (XMP specification part 1, xmp:Rating: -1 for rejected, 0 to 5, 0 = unrated)."""

_STARS = Column(lambda frame: min(MOST, frame.given_stars or 0.0) / MOST)


class Rating(GainTerm):
    """Five stars earn 1, fewer in proportion, none nothing."""

    name = "rating"
    key = "weights.rating"
    rank = 43

    def apply(self, draft: Draft) -> None:
        """Pay the stars."""
        draft.pay(self, draft.by_frame(_STARS))

    def says(self, member: Member) -> str:
        """Return the stars."""
        stars = member.rendition.frame.given_stars
        return f"{stars:g} of 5 stars" if stars and stars > 0 else "unrated"
