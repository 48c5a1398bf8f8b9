"""Borders: points for a crop whose borders run where nobody minds."""

from __future__ import annotations

from typing import Final

import numpy as np

from setsolver.crops.cutting import ENDS
from setsolver.domain.geometry import Box
from setsolver.rules.chosen import Member
from setsolver.rules.draft import Draft
from setsolver.rules.term import GainTerm

__all__ = ["CLEAR", "THROUGH", "Borders"]

THROUGH: Final = 1.6
"""Logits that a crop loses by where its borders run (``Framing.crossed``) at which nothing is earned any more."""
CLEAR: Final = -0.08
"""Logits down to which the borders run through nothing that is worth a word."""
MUCH: Final = 0.5
"""Share of the points from whose loss on that is said as a fault."""


class Borders(GainTerm):
    """A crop loses the points by how much its borders run through what should be whole, as its crop map says.

    Of all marks this one tells best which crops readers, vision-language models, call spoilt; a side that the frame
    itself ends costs nothing, and neither does a frame without a map, such as those of a quick scan.
    """

    name = "borders"
    key = "weights.borders"
    rank = 43

    def apply(self, draft: Draft) -> None:
        """Pay what is not lost."""
        draft.pay(self, np.clip(1.0 + draft.table.marks.crossed / THROUGH, 0.0, 1.0))

    def says(self, member: Member) -> str:
        """Return how the borders run, as far as that is known."""
        if member.rendition.frame.measures.crop_map is None:
            return "what the borders run through is not told yet"
        if _whole(member.rendition.crop):
            return "the borders are the frame's own"
        crossed = float(member.marks.crossed)
        if crossed >= CLEAR:
            return "borders run through nothing that should be whole"
        if crossed > -MUCH * THROUGH:
            return "a border is a little tight"
        return "a border runs through what should be whole"


def _whole(crop: Box) -> bool:
    """Return whether every side of a crop is the frame's own."""
    return max(crop.x, crop.y, 1 - crop.right, 1 - crop.bottom) <= ENDS
