"""Mono: a black-and-white frame among colour ones, or the reverse, is a stranger."""

from __future__ import annotations

import numpy as np

from setsolver.domain.columns import Column
from setsolver.domain.measures import Palette
from setsolver.domain.outcome import LedgerLine
from setsolver.rules.chosen import ChosenSet
from setsolver.rules.draft import Draft
from setsolver.rules.term import AxisTerm

__all__ = ["GREY", "Mono", "is_mono"]

GREY = 3.5
"""Mean chroma C* below which a viewer takes a frame for black-and-white (by eye, no source)."""


class Mono(AxisTerm):
    """One axis: 1 for a black-and-white frame, 0 for a colour one; none where the prints are mono anyway."""

    name = "mono"
    key = "weights.mono"
    rank = 74

    def apply(self, draft: Draft) -> None:
        """Give the axis where the catalog has both."""
        mono = _MONO.of(draft.frames)
        if draft.brief.tone.treatment != "mono" and mono.any() and not mono.all():
            draft.agree(self, "mono", draft.by_frame(_MONO), 0.0, says="black-and-white or colour")

    def explain(self, found: ChosenSet) -> list[LedgerLine]:
        """Return one line, on the frames that are of the other kind."""
        lines = []
        for _, level, away, effort in found.axes(self):
            strangers = found.paths_of(effort > 0)
            kind = "black-and-white" if level + away[effort.argmax()] > 0.5 else "in colour"
            words = f"{', '.join(strangers)} {kind}, the others not" if strangers else "all of one kind"
            lines.append(found.line(self, -float(effort.sum()), strangers, words))
        return lines


def is_mono(palette: Palette | None) -> bool:
    """Return True where a frame is black-and-white to a viewer."""
    return palette is not None and palette.chroma < GREY


_MONO = Column(lambda frame: is_mono(frame.measures.palette), np.bool_)
