"""Kind: documents, screens and graphics earn no place unless the brief asks for them."""

from __future__ import annotations

import numpy as np

from setsolver.crops.renditions import CropTable
from setsolver.domain.columns import Column
from setsolver.rules.draft import Draft
from setsolver.rules.term import Term
from setsolver.rules.words import count

__all__ = ["PhotographsOnly"]

_OTHER = Column(lambda frame: frame.kind != "photograph", np.bool_)


class PhotographsOnly(Term):
    """Takes out frames that are no photographs, unless the brief includes them."""

    name = "kind"
    key = "frames.include"
    rank = 12
    waived = True
    loosening = "look at them, and say frames --set FRAME kind=photograph of those that are"

    def apply(self, draft: Draft) -> None:
        """Take out the rows of documents, screens and graphics."""
        other = draft.by_frame(_OTHER) > 0

        def why(crop: CropTable) -> str:
            kind = draft.frames[int(crop.frame[0])].kind
            return f"it seems to be a {kind}, no photograph; say --set FRAME kind=photograph if it is one"

        draft.rule_out(self, other, self.says, why)

    def says(self, frames: int) -> str:
        """Return the sentence for frames that are out."""
        if frames == 1:
            return "1 frame that is no photograph (a document, a screen or a graphic)"
        return f"{count(frames, 'frame')} that are no photographs (documents, screens, graphics)"
