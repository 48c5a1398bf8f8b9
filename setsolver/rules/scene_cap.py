"""Scene cap: at most so many frames of one scene."""

from __future__ import annotations

import numpy as np

from setsolver.rules.draft import Draft, Group
from setsolver.rules.words import count

__all__ = ["SceneCap"]


class SceneCap:
    """One group row, where the brief sets a cap: the scene of each rendition's frame."""

    name = "scene"

    def apply(self, draft: Draft) -> None:
        """Add the group row."""
        cap = draft.brief.repeats.scene
        if cap is None:
            return
        scenes = np.array([frame.scene for frame in draft.snapshot.frames], dtype=np.int64)
        draft.groups.append(Group(np.maximum(scenes, -1)[draft.table.frame], cap, self.says(cap)))

    def says(self, cap: int) -> str:
        """Return the rule in words."""
        return f"at most {count(cap, 'frame')} of one scene"
