"""Appeal: points for how glad a client would be of the frame by itself."""

from __future__ import annotations

import numpy as np

from setsolver.domain.columns import appeal_of
from setsolver.domain.snapshot import Snapshot
from setsolver.rules.chosen import Member
from setsolver.rules.draft import Draft
from setsolver.rules.term import GainTerm

__all__ = ["AppealGain", "unmeasured"]

_LEAST, _MOST = 1.0, 5.0
_WORDS = ((4.25, "could lead a set"), (3.5, "a strong member"), (2.75, "solid"), (2.0, "a filler"))
"""Appeal from which a frame is called that; the words are those by which vision models rated (features/appeal.py)."""


class AppealGain(GainTerm):
    """An appeal of 5 earns 1, one of 1 nothing; frames whose appeal is left for later count as the others' mean.

    Where it is known of no frame, all earn nothing.
    """

    name = "appeal"
    key = "weights.appeal"
    rank = 40

    def apply(self, draft: Draft) -> None:
        """Pay appeal."""
        appeal = appeal_of(draft.frames)
        known = appeal[~np.isnan(appeal)]
        usual = float(np.mean(known)) if len(known) else _LEAST
        paid = (np.where(np.isnan(appeal), usual, appeal) - _LEAST) / (_MOST - _LEAST)
        draft.pay(self, paid[draft.table.frame])

    def says(self, member: Member) -> str:
        """Return the appeal in a number and in words."""
        appeal = member.rendition.frame.measures.appeal
        if appeal is None:
            return unmeasured(member.snapshot)
        word = next((word for least, word in _WORDS if appeal.value >= least), "weak")
        return f"appeal {appeal.value:.1f} of 5, {word}"


def unmeasured(snapshot: Snapshot) -> str:
    """Return what is said of a frame whose appeal is left for later."""
    if np.isnan(appeal_of(snapshot.frames)).all():
        return "not measured of any frame yet; all count alike"
    return "not measured yet; counted as the others' mean"
