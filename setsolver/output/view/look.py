"""The look of a set in numbers, with the slack and reach that its brief allows."""

from __future__ import annotations

from typing import NamedTuple

from setsolver.domain.brief import Brief
from setsolver.domain.outcome import SetFound
from setsolver.output.view.frames import AXES
from setsolver.output.view.words import number
from setsolver.rules.tone import amount_of, counted

__all__ = ["LookRow", "look_rows"]


class LookRow(NamedTuple):
    """One tone axis: the look, how far from it a frame may be left, how far it may be corrected."""

    name: str
    look: str
    slack: str
    reach: str


def look_rows(brief: Brief, found: SetFound) -> tuple[LookRow, ...]:
    """Return the axes that count under the brief's treatment."""
    counts = counted(brief.tone.slack, brief.tone.treatment)
    return tuple(
        LookRow(
            name,
            number(getattr(found.look, axis)),
            f"\u00b1 {_amount(brief, 'slack', axis)}",
            f"\u00b1 {_amount(brief, 'reach', axis)}",
        )
        for axis, name in AXES
        if axis in counts
    )


def _amount(brief: Brief, kind: str, axis: str) -> str:
    amounts = getattr(brief.tone, kind)
    return number(amount_of(amounts, axis))
