"""Resolution: every print has at least so many pixels per inch."""

from __future__ import annotations

from setsolver.crops.pixels import pixels_needed
from setsolver.crops.renditions import CropTable
from setsolver.domain.brief import Brief
from setsolver.rules.draft import Draft
from setsolver.rules.term import Term
from setsolver.rules.words import count

__all__ = ["Resolution"]


class Resolution(Term):
    """Takes out crops with too few pixels for the print, whoever wishes for them: paper does not forgive."""

    name = "resolution"
    key = "min_ppi"
    rank = 11

    def apply(self, draft: Draft) -> None:
        """Take out the rows with too few pixels."""
        draft.rule_out(
            self,
            ~draft.table.enough,
            lambda frames: self.says(frames, draft.brief),
            lambda crop: self.why(crop, draft.brief),
        )

    def says(self, frames: int, brief: Brief) -> str:
        """Return the sentence for frames that are out."""
        has = "has" if frames == 1 else "have"
        return (
            f"{count(frames, 'frame')} {has} too few pixels: {brief.print_cm:g} cm at {brief.min_ppi:g} pixels per "
            f"inch need {pixels_needed(brief.print_cm, brief.min_ppi)} along the long edge (lower print_cm or min_ppi)"
        )

    def why(self, crop: CropTable, brief: Brief) -> str:
        """Return what is wrong with one frame, from its largest crop."""
        needed = pixels_needed(brief.print_cm, brief.min_ppi)
        return f"its largest crop has {crop.pixels.max():.0f} pixels along the long edge, the print needs {needed}"
