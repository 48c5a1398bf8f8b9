"""Tone: the set agrees on a look; each frame reaches it, and effort beyond the slack costs points."""

from __future__ import annotations

import numpy as np

from setsolver.domain.brief import ToneAmounts
from setsolver.domain.rendition import TONE_AXES_IN_WORDS, Look, axes_of
from setsolver.rules.draft import Draft, ToneTerms

__all__ = ["Tone", "amount_of", "correction"]


class Tone:
    """One term for each tone axis of the treatment; both cast axes share the brief's ``cast``, mono has none."""

    name = "tone"

    def apply(self, draft: Draft) -> None:
        """Add the terms."""
        wish, axes = draft.brief.tone, axes_of(draft.brief.tone.treatment)
        tone = np.array([[getattr(rendition.tone, axis) for axis in axes] for rendition in draft.renditions])
        draft.tone = ToneTerms(
            axes=axes,
            tone=tone.reshape(len(draft.renditions), len(axes)),
            weight=np.full(len(axes), draft.brief.weights.tone),
            slack=np.array([amount_of(wish.slack, axis) for axis in axes]),
            reach=np.array([amount_of(wish.reach, axis) for axis in axes]),
        )
        for index, axis in enumerate(axes):
            draft.words[f"tone_reach[{index}]"] = self.says(axis, amount_of(wish.reach, axis))

    def says(self, axis: str, reach: float) -> str:
        """Return the rule in words."""
        return f"reach of {TONE_AXES_IN_WORDS[axis]} ({reach:g})"


def amount_of(amounts: ToneAmounts, axis: str) -> float:
    """Return the brief's amount for a tone axis; the two cast axes share one."""
    return float(getattr(amounts, "cast" if axis.startswith("cast") else axis))


def correction(look: Look, tone: Look, slack: ToneAmounts, treatment: str = "colour") -> Look:
    """Return what is added to a tone to bring it to the edge of the look's slack; zeros where it is inside already.

    Axes that do not count under the treatment get 0.
    """
    counts = axes_of(treatment)
    amounts = {}
    for axis in Look._fields:
        away = getattr(look, axis) - getattr(tone, axis)
        free = amount_of(slack, axis)
        amounts[axis] = float(np.sign(away) * max(0.0, abs(away) - free)) if axis in counts else 0.0
    return Look(**amounts)
