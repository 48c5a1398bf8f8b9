"""Picked: what picture editors take out of a shoot for a set is more than what appeals by itself."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from setsolver.domain.columns import Column, measured_or
from setsolver.domain.frame import Frame
from setsolver.domain.measures import Tuned
from setsolver.domain.problem import Floats
from setsolver.rules.chosen import Member
from setsolver.rules.words import count
from setsolver.rules.worth_term import WorthTerm

__all__ = ["Picked", "worth_of"]

SPAN = 4.0
"""Logits on either side of the usual frame beyond which a worth no longer changes."""


def worth_of(tuned: Tuned) -> float:
    """Return 0 for a frame that an editor would hardly pick, 0.5 for a usual one, 1 for one picked before all others.

    In between it is linear in logits, as chances of being picked are (benchmarks/features/held_shoots.py).
    """
    return float(np.clip(0.5 + 0.5 * tuned.picked / SPAN, 0.0, 1.0))


_WORTH = Column(measured_or(np.nan, lambda frame: frame.measures.tuned and worth_of(frame.measures.tuned)))


class Picked(WorthTerm):
    """A frame earns for being one that picture editors would take out of the shoot."""

    name = "picked"
    key = "weights.picked"
    rank = 46

    def worths(self, frames: Sequence[Frame]) -> Floats:
        """Return how early an editor would pick each frame."""
        return _WORTH.of(frames)

    def says(self, member: Member) -> str:
        """Return how early in the shoot an editor would pick the frame."""
        tuned = member.rendition.frame.measures.tuned
        if tuned is None:
            return "not looked at with an editor's eyes yet"
        worth = self.worths(member.snapshot.frames)
        known = int((~np.isnan(worth)).sum())
        before = int((worth > worth_of(tuned)).sum())
        if before == 0:
            return f"the first that an editor would pick, of {count(known, 'frame')} of the shoot"
        return f"an editor would pick {before} of {count(known, 'frame')} of the shoot before it"
