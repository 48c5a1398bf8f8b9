"""Borders: points for a crop whose borders run where nobody minds."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from setsolver.crops.cutting import ENDS
from setsolver.domain.columns import Column
from setsolver.domain.problem import Floats
from setsolver.rules.chosen import Member
from setsolver.rules.draft import Draft
from setsolver.rules.term import GainTerm

__all__ = ["CLEAR", "THROUGH", "UNKNOWN", "Borders", "own_borders"]

THROUGH: Final = 1.6
"""Logits that a crop loses by where its borders run (``Framing.crossed``) at which nothing is earned any more."""
CLEAR: Final = -0.08
"""Logits down to which the borders run through nothing that is worth a word."""
UNKNOWN: Final = 0.96
"""Share of the points of a crop that was cut without a map: the mean of what such crops turn out to earn once there is
one (squares of the demo, 77, and of 400 photographs, 295: 0.962 and 0.964)."""
MUCH: Final = 0.5
"""Share of the points from whose loss on that is said as a fault."""


class Borders(GainTerm):
    """A crop loses the points by how much its borders run through what should be whole, as its crop map says.

    Of all marks this one tells best which crops readers, vision-language models, call spoilt; a side that the frame
    itself ends costs nothing. A crop of a frame without a map, such as those of a quick scan, earns what such crops
    usually turn out to earn, and less than one that is known to be good.
    """

    name = "borders"
    key = "weights.borders"
    rank = 43

    def apply(self, draft: Draft) -> None:
        """Pay what is not lost."""
        known = (draft.by_frame(_MAPPED) > 0) | own_borders(draft.table.box)
        draft.pay(self, np.where(known, np.clip(1.0 + draft.table.marks.crossed / THROUGH, 0.0, 1.0), UNKNOWN))

    def says(self, member: Member) -> str:
        """Return how the borders run, as far as that is known."""
        if own_borders(np.array(member.rendition.crop)):
            return "the borders are the frame's own"
        if member.rendition.frame.measures.crop_map is None:
            return "what the borders run through is not told yet; counted as what crops usually earn"
        crossed = float(member.marks.crossed)
        if crossed >= CLEAR:
            return "borders run through nothing that should be whole"
        if crossed > -MUCH * THROUGH:
            return "a border is a little tight"
        return "a border runs through what should be whole"


def own_borders(boxes: Floats) -> NDArray[np.bool_]:
    """Return whether every side of crops [..., 4] is the frame's own; [...]."""
    starts, ends = boxes[..., :2], boxes[..., :2] + boxes[..., 2:]
    whole: NDArray[np.bool_] = np.maximum(starts, 1 - ends).max(axis=-1) <= ENDS
    return whole


_MAPPED: Final = Column(lambda frame: float(frame.measures.crop_map is not None))
