"""Scene cap: at most so many frames of one scene."""

from __future__ import annotations

from setsolver.domain.columns import scenes_of
from setsolver.rules.draft import Draft
from setsolver.rules.term import Term
from setsolver.rules.words import count

__all__ = ["SceneCap"]


class SceneCap(Term):
    """One group row, where the brief sets a cap: the scene of each rendition's frame."""

    name = "scene"
    key = "repeats.scene"
    rank = 51

    def apply(self, draft: Draft) -> None:
        """Cap the scenes."""
        cap = draft.brief.repeats.scene
        if cap is not None:
            draft.cap(draft.labels(scenes_of(draft.frames)), cap, "scene", self.says(cap))

    def says(self, cap: int) -> str:
        """Return the rule in words."""
        return f"at most {count(cap, 'frame')} of one scene"
