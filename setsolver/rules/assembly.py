"""A problem with everything needed to speak about it: renditions, parts of the gain, and words."""

from __future__ import annotations

from dataclasses import dataclass

from setsolver.domain.brief import Brief
from setsolver.domain.outcome import RuledOut
from setsolver.domain.problem import Problem
from setsolver.domain.rendition import Rendition
from setsolver.domain.snapshot import Snapshot
from setsolver.rules.columns import Floats
from setsolver.rules.framing import Framing
from setsolver.rules.gains import Member

__all__ = ["Assembly"]


@dataclass(frozen=True, eq=False)
class Assembly:
    """What rules make of a catalog and a brief. M renditions, R roles, K tone axes.

    renditions : [M], aligned with the problem's rows; the problem numbers frames by their ids.
    parts : gains by rule, each float64[M, R]; they add up to ``problem.gain``, NaN where a role cannot be played.
    axes : names of the tone axes. ruled_out : what rules took out, in the order in which they spoke.
    words : the problem's keys, such as "role_min[2]" or "tone_reach[0]", in plain words.
    reasons : why each frame that cannot be in is out, by id, excluded frames among them.
    marks : framing of each crop, [M]. tilt : degrees that each stays off level, [M].
    """

    snapshot: Snapshot
    brief: Brief
    renditions: tuple[Rendition, ...]
    problem: Problem
    parts: dict[str, Floats]
    axes: tuple[str, ...]
    ruled_out: tuple[RuledOut, ...]
    words: dict[str, str]
    reasons: dict[int, str]
    marks: Framing
    tilt: Floats

    def member(self, row: int, role: int) -> Member:
        """Return a rendition in a role, as gain rules want it."""
        return Member(
            snapshot=self.snapshot,
            brief=self.brief,
            rendition=self.renditions[row],
            role=self.brief.role_names[role],
            marks=Framing(*(float(mark[row]) for mark in self.marks)),  # type: ignore[arg-type]  # one crop's marks
            tilt=float(self.tilt[row]),
        )

    def says(self, key: str) -> str:
        """Return a rule of the problem in plain words; the key itself where there are none."""
        return self.words.get(key, self.words.get(key.partition("[")[0], key))
