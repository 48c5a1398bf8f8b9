"""Uprightness: a frame that lies on its side or stands on its head is out until the photographer says how it stands."""

from __future__ import annotations

from setsolver.crops.renditions import CropTable
from setsolver.domain.columns import Column
from setsolver.rules.draft import Draft
from setsolver.rules.term import Term
from setsolver.rules.words import count

__all__ = ["UprightOnly"]

_LYING = Column(lambda frame: frame.upright or 0)


class UprightOnly(Term):
    """Takes out frames that seem to need turning, unless the brief includes them."""

    name = "upright"
    key = "frames.include"
    rank = 11
    waived = True

    def apply(self, draft: Draft) -> None:
        """Take out the rows of frames that seem to need turning."""
        lying = draft.by_frame(_LYING) > 0

        def why(crop: CropTable) -> str:
            return f"it seems to need a turn of {draft.frames[int(crop.frame[0])].upright} degrees; confirm with --set"

        draft.rule_out(self, lying, self.says, why)

    def says(self, frames: int) -> str:
        """Return the sentence for frames that are out."""
        need = "needs" if frames == 1 else "need"
        return f"{count(frames, 'frame')} that {need} turning upright first (frames --set FRAME turn=90)"
