"""Solid: a weak frame spoils a set more than a strong one lifts it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from setsolver.domain.columns import appeal_of
from setsolver.domain.frame import Frame
from setsolver.domain.problem import Floats
from setsolver.rules.appeal import unmeasured
from setsolver.rules.chosen import Member
from setsolver.rules.worth_term import WorthTerm

__all__ = ["SOLID", "Solid"]

SOLID = 3.0
"""Appeal from which a frame serves in any set: "solid" to the vision models that rated (features/appeal.py)."""
LEAST_SAID = 0.05
"""Less would be said as 0.0."""
_LEAST = 1.0


class Solid(WorthTerm):
    """An appeal of 3 or more earns 1, less earns less, 1 nothing; frames left for later earn the others' mean.

    Where it is known of no frame, all earn nothing.
    """

    name = "solid"
    key = "weights.solid"
    rank = 40
    none_known = 0.0

    def worths(self, frames: Sequence[Frame]) -> Floats:
        """Return what is left of 1."""
        return (np.minimum(SOLID, appeal_of(frames)) - _LEAST) / (SOLID - _LEAST)

    def says(self, member: Member) -> str:
        """Return whether the frame is solid, and how far it falls short."""
        appeal = member.rendition.frame.measures.appeal
        if appeal is None:
            return unmeasured(member.snapshot)
        if appeal.value >= SOLID:
            return "solid enough for any set"
        short = SOLID - appeal.value
        by = f"{short:.1f}" if short >= LEAST_SAID else "just"
        return f"{by} under the appeal of {SOLID:g} that serves in any set"
