"""People: where people are what a shoot is about, frames without them tell little."""

from __future__ import annotations

import numpy as np

from setsolver.domain.frame import Frame
from setsolver.rules.chosen import Member
from setsolver.rules.draft import Draft
from setsolver.rules.term import GainTerm

__all__ = ["People", "about_people"]

FEW, MOST = 0.3, 0.8
"""Share of frames with people up to which a shoot is not about them, and from which it is about nothing else."""
SURE = 0.5


class People(GainTerm):
    """A frame earns the chance that it shows people, times how much the whole shoot is about them."""

    name = "people"
    key = "weights.people"
    rank = 45

    def apply(self, draft: Draft) -> None:
        """Pay the chance; a frame that has none yet (a quick scan) counts as the others' mean."""
        about = about_people(draft.frames)
        known = [f.measures.people for f in draft.frames if f.measures.people is not None]
        usual = float(np.mean(known)) if known else 0.0
        seen = (frame.measures.people for frame in draft.frames)
        draft.pay(self, about * draft.by_frame(usual if one is None else one for one in seen))

    def says(self, member: Member) -> str:
        """Return whether there are people."""
        chance = member.rendition.frame.measures.people
        if chance is None:
            return "not looked at for people yet"
        return "people, as in most of this shoot" if chance >= SURE else "nobody, where most of this shoot shows people"


def about_people(frames: tuple[Frame, ...]) -> float:
    """Return how much a shoot is about people, 0 to 1: by the share of its frames that show some."""
    known = [frame.measures.people >= SURE for frame in frames if frame.measures.people is not None]
    share = float(np.mean(known)) if known else 0.0
    return float(np.clip((share - FEW) / (MOST - FEW), 0.0, 1.0))
