"""People: where few frames of a shoot show any, those that do tell who was there."""

from __future__ import annotations

import numpy as np

from setsolver.domain.columns import Column, known_or_mean, measured_or
from setsolver.domain.problem import Floats
from setsolver.rules.chosen import Member
from setsolver.rules.draft import Draft
from setsolver.rules.term import GainTerm
from setsolver.rules.words import count

__all__ = ["People", "rare_people"]

SURE = 0.5
"""Chance from which a frame is said to show people."""
FEW = 0.3
"""Share of frames with people up to which they are said to be few."""
_PEOPLE = Column(measured_or(np.nan, lambda frame: frame.measures.people))


class People(GainTerm):
    """A frame earns the chance that it shows people, times how rare they are in the shoot.

    Where people are everywhere a set has them anyway. Where they are few (a trip, a house, a workshop) judges prefer
    sets that show somebody; paid the other way round, by how much the shoot is about people, it tells walls as well and
    stories not at all (benchmarks/taste).
    """

    name = "people"
    key = "weights.people"
    rank = 45

    def apply(self, draft: Draft) -> None:
        """Pay the chance; a frame that has none yet (a quick scan) counts as the others' mean."""
        draft.pay(self, rare_people(_PEOPLE.of(draft.frames))[draft.table.frame])

    def says(self, member: Member) -> str:
        """Return whether there are people."""
        chance = member.rendition.frame.measures.people
        if chance is None:
            return "not looked at for people yet"
        if chance < SURE:
            return "nobody to be seen"
        chances = _PEOPLE.of(member.snapshot.frames)
        shown, known = int((chances >= SURE).sum()), int((~np.isnan(chances)).sum())
        if shown <= FEW * known:
            return "people, whom few frames of the shoot show"
        return f"people, as in {shown} of {count(known, 'frame')} of the shoot"


def rare_people(chances: Floats) -> Floats:
    """Return for n frames the chance that each shows people times the mean chance that one does not; [n], 0 to 1.

    Parameters
    ----------
    chances : [n], that a frame shows people, 0 to 1; NaN where it has not been looked at, which counts as the mean.
    """
    chances = known_or_mean(chances, 0.0)
    usual = float(np.mean(chances)) if len(chances) else 0.0
    return (1.0 - usual) * chances
