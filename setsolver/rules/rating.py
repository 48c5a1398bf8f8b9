"""Rating: points for the photographer's own stars; what she rejected is out."""

from __future__ import annotations

import numpy as np

from setsolver.rules.draft import Draft
from setsolver.rules.gains import Member
from setsolver.rules.words import count

__all__ = ["Rating", "Rejected"]

MOST = 5.0
"""Stars (XMP specification part 1, xmp:Rating: -1 for rejected, 0 to 5, 0 = unrated)."""


class Rejected:
    """Takes out frames with the rating -1, unless the brief includes them."""

    name = "rating"

    def apply(self, draft: Draft) -> None:
        """Take out the rows of rejected frames."""
        rejected = np.array([(frame.shot.rating or 0.0) < 0 for frame in draft.snapshot.frames])
        draft.rule_out(
            self.name, rejected[draft.table.frame] & ~draft.wished, self.says, lambda _: "you rejected it (rating -1)"
        )

    def says(self, frames: int) -> str:
        """Return the sentence for frames that are out."""
        return f"{count(frames, 'frame')} you rejected (rating -1)"


class Rating:
    """``weights.rating`` points for five stars, in proportion for fewer, none for unrated frames."""

    name = "rating"

    def apply(self, draft: Draft) -> None:
        """Add the part."""
        stars = np.array([min(MOST, max(0.0, frame.shot.rating or 0.0)) for frame in draft.snapshot.frames])
        draft.parts[self.name] = draft.brief.weights.rating * stars[draft.table.frame, None] / MOST

    def says(self, member: Member) -> str:
        """Return the stars."""
        stars = member.rendition.frame.shot.rating
        return f"{stars:g} of 5 stars" if stars and stars > 0 else "unrated"
