"""Light: the frames of a set are about as light as each other, as they were shot."""

from __future__ import annotations

from setsolver.domain.columns import Column
from setsolver.domain.unweighted import Axis
from setsolver.rules.draft import Draft
from setsolver.rules.term import AxisTerm
from setsolver.rules.words import number

__all__ = ["SLACK", "Light"]

SLACK = 3.0
"""L* by which a frame's mid tone may lie off the set's for nothing."""

_MID = Column(lambda frame: frame.measures.tone.mid)


class Light(AxisTerm):
    """The mid tone, L*, of the frames as they are.

    Tone costs what is corrected in the prints; this costs what night beside noon looks like even then.
    """

    name = "light"
    key = "weights.light"
    rank = 72

    def apply(self, draft: Draft) -> None:
        """Give the axis."""
        mid = draft.by_frame(_MID)
        draft.agree(self, "light", mid, SLACK, says="light as shot")

    def away(self, axis: Axis, away: float) -> str:  # noqa: ARG002
        """Return "5.9 darker"."""
        return f"{number(abs(away))} {'lighter' if away > 0 else 'darker'}"
