"""Near-duplicates: two frames that a viewer would call the same picture are never both in."""

from __future__ import annotations

from setsolver.rules.draft import Draft

__all__ = ["NearDuplicates"]


class NearDuplicates:
    """Conflicts from the catalog's pairs, less those that the moment cap of 1 forbids already."""

    name = "near-duplicates"

    def apply(self, draft: Draft) -> None:
        """Add the conflicts between frames that are still there."""
        frames = draft.snapshot.frames
        there = set(draft.table.frame.tolist())
        capped = draft.brief.repeats.moment == 1
        draft.conflict += [
            (a, b)
            for a, b in draft.snapshot.pairs
            if a in there and b in there and not (capped and frames[a].moment == frames[b].moment >= 0)
        ]
        draft.words["conflict"] = self.says()
        for index, (a, b) in enumerate(draft.conflict):
            draft.words[f"conflict[{index}]"] = f"{frames[a].path} and {frames[b].path} are one picture to a viewer"

    def says(self) -> str:
        """Return the rule in words."""
        return "no two frames that a viewer would call the same picture"
