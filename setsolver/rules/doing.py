"""Doing: people caught in what they do tell more of it than people who stand for the camera."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from setsolver.domain.columns import Column, measured_or
from setsolver.domain.frame import Frame
from setsolver.domain.measures import Showing
from setsolver.domain.problem import Floats
from setsolver.rules.chosen import Member
from setsolver.rules.worth_term import WorthTerm

__all__ = ["Doing", "worth_of"]

SURE = 0.5
"""Odds from which it is said what a frame shows."""
SAYS = {
    "doing": "people caught in what they do",
    "about": "people about",
    "performing": "somebody who performs or speaks",
    "posing": "people who pose for the camera",
    "nobody": "a picture that is not about people",
}


def worth_of(shown: Showing) -> float:
    """Return 0 for people who pose for the camera, 1 for people caught in what they do.

    All else is worth 0.5: performers, people about (among them many backs), and pictures that are not about people;
    odds in between. From how much more often pictures of these kinds are picked for sets than their appeal alone would
    have them (benchmarks/taste/fit_doing.py).
    """
    return 0.5 + 0.5 * (shown.doing - shown.posing)


_WORTH = Column(measured_or(np.nan, lambda frame: frame.measures.showing and worth_of(frame.measures.showing)))


class Doing(WorthTerm):
    """A frame earns for people caught in what they do, nothing where they pose, half where neither is so."""

    name = "doing"
    key = "weights.doing"
    rank = 45

    def worths(self, frames: Sequence[Frame]) -> Floats:
        """Return the worth of what people do in each frame."""
        return _WORTH.of(frames)

    def says(self, member: Member) -> str:
        """Return what people do."""
        shown = member.rendition.frame.measures.showing
        if shown is None:
            return "not looked at for what people do yet"
        likeliest = max(shown._fields, key=lambda name: getattr(shown, name))
        return SAYS[likeliest] if getattr(shown, likeliest) >= SURE else "not told for sure whether anybody poses"
