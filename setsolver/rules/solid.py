"""Solid: a weak frame spoils a set more than a strong one lifts it."""

from __future__ import annotations

import numpy as np

from setsolver.domain.columns import appeal_of
from setsolver.rules.chosen import Member
from setsolver.rules.draft import Draft
from setsolver.rules.term import GainTerm

__all__ = ["SOLID", "Solid"]

SOLID = 3.0
"""Appeal from which a frame serves in any set: "solid" to the vision models that rated (features/appeal.py)."""
LEAST_SAID = 0.05
"""Less would be said as 0.0."""
_LEAST = 1.0


class Solid(GainTerm):
    """An appeal of 3 or more earns 1, less earns less, 1 nothing; one that is left for later counts as solid."""

    name = "solid"
    key = "weights.solid"
    rank = 40

    def apply(self, draft: Draft) -> None:
        """Pay what is left of 1."""
        appeal = appeal_of(draft.frames)
        reached = np.where(np.isnan(appeal), SOLID, np.minimum(SOLID, appeal))
        draft.pay(self, ((reached - _LEAST) / (SOLID - _LEAST))[draft.table.frame])

    def says(self, member: Member) -> str:
        """Return whether the frame is solid, and how far it falls short."""
        appeal = member.rendition.frame.measures.appeal
        if appeal is None or appeal.value >= SOLID:
            return "solid enough for any set"
        short = SOLID - appeal.value
        by = f"{short:.1f}" if short >= LEAST_SAID else "just"
        return f"{by} under the appeal of {SOLID:g} that serves in any set"
