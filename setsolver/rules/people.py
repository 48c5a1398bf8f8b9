"""People: where people are what a shoot is about, frames without them tell little."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from setsolver.domain.columns import Column, measured_or
from setsolver.domain.frame import Frame
from setsolver.rules.chosen import Member
from setsolver.rules.draft import Draft
from setsolver.rules.term import GainTerm

__all__ = ["People", "about_people"]

FEW, MOST = 0.3, 0.8
"""Share of frames with people up to which a shoot is not about them, and from which it is about nothing else."""
SURE = 0.5
_PEOPLE = Column(measured_or(np.nan, lambda frame: frame.measures.people))


class People(GainTerm):
    """A frame earns the chance that it shows people, times how much the whole shoot is about them."""

    name = "people"
    key = "weights.people"
    rank = 45

    def apply(self, draft: Draft) -> None:
        """Pay the chance; a frame that has none yet (a quick scan) counts as the others' mean."""
        about = about_people(draft.frames)
        seen = _PEOPLE.of(draft.frames)
        known = seen[~np.isnan(seen)]
        usual = float(np.mean(known)) if len(known) else 0.0
        draft.pay(self, about * np.where(np.isnan(seen), usual, seen)[draft.table.frame])

    def says(self, member: Member) -> str:
        """Return whether there are people."""
        chance = member.rendition.frame.measures.people
        if chance is None:
            return "not looked at for people yet"
        return "people, as in most of this shoot" if chance >= SURE else "nobody, where most of this shoot shows people"


def about_people(frames: Sequence[Frame]) -> float:
    """Return how much a shoot is about people, 0 to 1: by the share of its frames that show some."""
    seen = _PEOPLE.of(frames)
    known = seen[~np.isnan(seen)] >= SURE
    share = float(np.mean(known)) if len(known) else 0.0
    return float(np.clip((share - FEW) / (MOST - FEW), 0.0, 1.0))
