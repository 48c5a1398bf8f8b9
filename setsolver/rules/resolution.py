"""Resolution: every print has at least so many pixels per inch."""

from __future__ import annotations

import numpy as np

from setsolver.crops.renditions import CropTable
from setsolver.domain.slot import Slot
from setsolver.rules.draft import Draft
from setsolver.rules.term import Term
from setsolver.rules.words import count, in_a_row

__all__ = ["Resolution"]


class Resolution(Term):
    """Keeps crops out of slots for whose print they have too few pixels."""

    name = "resolution"
    key = "min_ppi"
    rank = 11
    waived = True
    loosening = "smaller prints, or fewer pixels per inch: print_cm, min_ppi"

    def apply(self, draft: Draft) -> None:
        """Keep the rows out of the slots that need more."""
        needed = np.array([slot.pixels for slot in draft.slots])
        bad = draft.table.pixels.max(axis=1)[:, None] < needed
        draft.rule_out(
            self, bad, lambda frames: self.says(frames, draft.slots), lambda crop: self.why(crop, draft.slots)
        )

    def says(self, frames: int, slots: tuple[Slot, ...]) -> str:
        """Return the sentence for frames that are out."""
        has = "has" if frames == 1 else "have"
        prints = dict.fromkeys((slot.print_cm, slot.min_ppi, slot.pixels) for slot in slots)
        needs = in_a_row([f"{long:g} cm at {ppi:g} pixels per inch need {pixels}" for long, ppi, pixels in prints])
        return f"{count(frames, 'frame')} {has} too few pixels: {needs} along the long edge"

    def why(self, crop: CropTable, slots: tuple[Slot, ...]) -> str:
        """Return what is wrong with one frame, from its largest crop."""
        needed = sorted({slot.pixels for slot in slots})
        print_ = "the print needs" if len(needed) == 1 else "the least of the prints needs"
        return f"its largest crop has {crop.pixels.max():.0f} pixels along the long edge, {print_} {needed[0]}"
