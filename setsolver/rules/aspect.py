"""Aspect: every crop at the aspect of its slot keeps its subject and its faces."""

from __future__ import annotations

from setsolver.rules.draft import Draft
from setsolver.rules.term import Term
from setsolver.rules.words import count, in_a_row

__all__ = ["Aspect"]


class Aspect(Term):
    """Takes out crops that cut the subject."""

    name = "aspect"
    key = "aspect"
    loosening = "choose another aspect"
    rank = 12
    waived = True

    def apply(self, draft: Draft) -> None:
        """Take out the rows that lose their subject or a main face."""
        aspects = in_a_row(list(dict.fromkeys(slot.aspect for slot in draft.slots)), "or")
        draft.rule_out(
            self,
            ~draft.table.keeps,
            lambda frames: self.says(frames, aspects),
            lambda _: self.why(aspects),
        )

    def says(self, frames: int, aspects: str) -> str:
        """Return the sentence for frames that are out."""
        what = "its subject or a face" if frames == 1 else "their subject or a face"
        return f"{count(frames, 'frame')} would lose {what} in a crop of {aspects}"

    def why(self, aspects: str) -> str:
        """Return what is wrong with one frame."""
        return f"every crop of {aspects} would cut its subject or a face"
