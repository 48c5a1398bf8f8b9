"""Role fit: points for how surely a rendition is what its role asks for."""

from __future__ import annotations

import numpy as np

from setsolver.rules.chosen import Member
from setsolver.rules.draft import Draft
from setsolver.rules.term import GainTerm

__all__ = ["UNSURE", "RoleFit"]

UNSURE = 0.5
"""Odds of the best scale below which a rendition counts as unsure and earns half: the odds are then worth little."""


class RoleFit(GainTerm):
    """A frame earns the odds of its role's scale; half of that where it is unsure; 1 for a match of one's own."""

    name = "role"
    key = "weights.role"
    rank = 41

    def apply(self, draft: Draft) -> None:
        """Pay how surely each row is what each role asks for."""
        unsure = draft.table.odds.max(axis=1) < UNSURE
        scales = np.array([slot.match is None for slot in draft.slots])
        half = np.where(unsure[:, None] & scales[None, :], 0.5, 1.0)
        draft.pay(self, half * draft.fit)

    def says(self, member: Member) -> str:
        """Return how surely the member plays its role."""
        slot = member.slot
        plays = f"plays {slot.role}" if slot.name == slot.role else f"plays {slot.role} as {slot.name}"
        if slot.match is not None:
            return f"{plays}: it fits {slot.match}"
        odds = member.rendition.odds
        sure = f"{plays}, {100 * getattr(odds, slot.role):.0f} % sure"
        if odds.sure < UNSURE:
            return f"{sure}: it could pass as any scale, so it earns half"
        return f"{sure} as a tighter crop" if member.rendition.kind == "tighter" else sure
