"""Tone: the set agrees on a look; each frame reaches it, and effort beyond the slack costs points."""

from __future__ import annotations

import numpy as np

from setsolver.domain.brief import ToneAmounts
from setsolver.domain.rendition import FURTHER_AXES, TONE_AXES_IN_WORDS, Look, axes_of
from setsolver.domain.unweighted import Axis
from setsolver.rules.draft import Draft
from setsolver.rules.term import AxisTerm
from setsolver.rules.words import number, signed

__all__ = ["Tone", "amount_of", "correction", "counted"]


class Tone(AxisTerm):
    """One axis for each tone of the treatment, in L* or a*b*: both casts share the brief's ``cast``, mono has none.

    Vignette (EV) and grain (L*) are further ones where the brief gives them an amount.
    """

    name = "tone"
    key = "weights.tone"
    rank = 80

    def apply(self, draft: Draft) -> None:
        """Give the axes."""
        wish = draft.brief.tone
        for axis in counted(wish.slack, wish.treatment):
            value = draft.renditions.tones[:, Look._fields.index(axis)].copy()
            slack, reach = amount_of(wish.slack, axis), amount_of(wish.reach, axis)
            draft.agree(self, axis, value, slack, reach, TONE_AXES_IN_WORDS[axis])

    def level(self, axis: Axis, level: float) -> str:
        """Return "mid tone 51", or "green-red cast +4 (towards red)"."""
        if axis.name in _SIDES_OF_FURTHER:
            return f"{axis.says} {_DECIMALS[axis.name](level, 1)}{_UNITS[axis.name]}"
        told = signed(level, 0)
        if axis.name not in _TOWARDS:
            return f"{axis.says} {number(level, 0)}"
        side = f"towards {_TOWARDS[axis.name][level < 0]}" if told != "0" else "neutral"
        return f"{axis.says} {told} ({side})"

    def away(self, axis: Axis, away: float) -> str:
        """Return "5.9 darker", or "4.1 redder"."""
        if axis.name in _SIDES_OF_FURTHER:
            return f"{number(abs(away))}{_UNITS[axis.name]} {_SIDES_OF_FURTHER[axis.name][away < 0]}"
        return f"{number(abs(away))} {_SIDES.get(axis.name, ('lighter', 'darker'))[away < 0]}"


_SIDES = {"cast_a": ("redder", "greener"), "cast_b": ("yellower", "bluer")}
_SIDES_OF_FURTHER = {"vignette": ("lighter in the corners", "darker in the corners"), "grain": ("grainier", "cleaner")}
_UNITS = {"vignette": " EV", "grain": ""}
_DECIMALS = {"vignette": signed, "grain": number}
_TOWARDS = {"cast_a": ("red", "green"), "cast_b": ("yellow", "blue")}


def amount_of(amounts: ToneAmounts, axis: str) -> float:
    """Return the brief's amount for a tone axis; the two cast axes share one. 0 where it names none."""
    return float(getattr(amounts, "cast" if axis.startswith("cast") else axis) or 0.0)


def counted(amounts: ToneAmounts, treatment: str) -> tuple[str, ...]:
    """Return the tone axes that count, in the problem's order: the treatment's, and those that the brief names."""
    return axes_of(treatment, [axis for axis in FURTHER_AXES if getattr(amounts, axis) is not None])


def correction(look: Look, tone: Look, slack: ToneAmounts, treatment: str = "colour") -> Look:
    """Return what is added to a tone to bring it to the edge of the look's slack; zeros where it is inside already.

    Axes that do not count under the treatment get 0.
    """
    counts = counted(slack, treatment)
    amounts = {}
    for axis in Look._fields:
        away = getattr(look, axis) - getattr(tone, axis)
        free = amount_of(slack, axis)
        amounts[axis] = float(np.sign(away) * max(0.0, abs(away) - free)) if axis in counts else 0.0
    return Look(**amounts)
