"""Palette: the colours of a set's frames belong together."""

from __future__ import annotations

import numpy as np

from setsolver.domain.columns import Column
from setsolver.domain.measures import Palette
from setsolver.domain.unweighted import Axis
from setsolver.rules.draft import Draft
from setsolver.rules.term import AxisTerm
from setsolver.rules.words import number, signed

__all__ = ["SLACK", "PaletteKinship"]

SLACK = 2.0
"""a*b* units by which a frame's palette may lie off the set's on each axis for nothing."""
IN_WORDS = {"a": "green-red of the colours", "b": "blue-yellow of the colours", "chroma": "strength of the colours"}
_TOWARDS = {"palette a": ("red", "green"), "palette b": ("yellow", "blue")}
_SIDES = {
    "palette a": ("redder", "greener"),
    "palette b": ("yellower", "bluer"),
    "palette chroma": ("stronger", "paler"),
}

_PALETTE = Column(lambda frame: frame.measures.palette or (np.nan,) * 3, width=3)


class PaletteKinship(AxisTerm):
    """Where the colours of the frames lie: chroma-weighted a* and b*, and mean chroma; none in mono."""

    name = "palette"
    key = "weights.palette"
    rank = 73

    def apply(self, draft: Draft) -> None:
        """Give the axes; a frame without a palette (a quick scan left it for later) lies at the others' median."""
        if draft.brief.tone.treatment == "mono":
            return
        palette = _PALETTE.of(draft.frames)
        known = ~np.isnan(palette[:, 0])
        if not known.any():
            return
        palette = np.where(known[:, None], palette, np.median(palette[known], axis=0))[draft.table.frame]
        for axis, words in IN_WORDS.items():
            draft.agree(self, f"palette {axis}", palette[:, Palette._fields.index(axis)], SLACK, says=words)

    def level(self, axis: Axis, level: float) -> str:
        """Return "green-red of the colours +6 (towards red)", or "strength of the colours 15"."""
        if axis.name not in _TOWARDS:
            return f"{axis.says} {number(level, 0)}"
        told = signed(level, 0)
        return f"{axis.says} {told} ({f'towards {_TOWARDS[axis.name][level < 0]}' if told != '0' else 'neutral'})"

    def away(self, axis: Axis, away: float) -> str:
        """Return "2.7 greener"."""
        return f"{number(abs(away))} {_SIDES[axis.name][away < 0]}"
