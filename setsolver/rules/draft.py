"""The problem while rules work on it: each rule reads the draft and adds its own term."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

import numpy as np

from setsolver.domain.brief import Brief
from setsolver.domain.outcome import RuledOut
from setsolver.domain.rendition import Rendition
from setsolver.domain.snapshot import Snapshot
from setsolver.rules.columns import Floats, Ints
from setsolver.rules.renditions import CropTable, to_renditions

__all__ = ["Draft", "Group", "Rule", "ToneTerms"]

EXAMPLES = 5


class Group(NamedTuple):
    """A cap on renditions that share a label: labels [M] (-1 = in no group), the cap, and the rule in words."""

    labels: Ints
    cap: int
    says: str


class ToneTerms(NamedTuple):
    """Tone axes: names, tone [M, K], and weight, slack, reach [K]."""

    axes: tuple[str, ...]
    tone: Floats
    weight: Floats
    slack: Floats
    reach: Floats


class Rule(Protocol):
    """One rule of a brief: its name in the ledger and in what was ruled out, and what it does to a draft."""

    name: str

    def apply(self, draft: Draft) -> None:
        """Add the rule's term, or take rows out with the reason."""
        ...


@dataclass
class Draft:
    """Crops with what rules have said of them so far: M rows, R roles; frames are numbered by their ids.

    fit : [M, R], how well a row plays a role, 0 to 1; NaN = not at all. parts : gains by rule, [M, R] or [M, 1].
    words : the problem's keys in plain words. reasons : why each frame that is out is out, by id.
    """

    snapshot: Snapshot
    brief: Brief
    table: CropTable
    included: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    excluded: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    role_min: list[int] = field(default_factory=list)
    role_max: list[int] = field(default_factory=list)
    fit: Floats = field(default_factory=lambda: np.zeros((0, 0)))
    parts: dict[str, Floats] = field(default_factory=dict)
    groups: list[Group] = field(default_factory=list)
    conflict: list[tuple[int, int]] = field(default_factory=list)
    renditions: tuple[Rendition, ...] = ()
    tone: ToneTerms | None = None
    place: Floats | None = None
    reasons: dict[int, str] = field(default_factory=dict)
    ruled_out: list[RuledOut] = field(default_factory=list)
    words: dict[str, str] = field(default_factory=dict)

    @property
    def wished(self) -> np.ndarray:
        """Which rows [M] are of frames that the brief includes: rules of taste do not take these out."""
        return np.isin(self.table.frame, self.included)

    def rule_out(self, rule: str, bad: np.ndarray, says: Callable[[int], str], why: Callable[[CropTable], str]) -> None:
        """Take out the rows marked in ``bad`` [M]; frames that lose their last row are counted under the rule.

        says : told the number of such frames, returns the sentence. why : told the first crop of one such frame,
        returns what is wrong with it.
        """
        kept = np.flatnonzero(~bad)
        gone = np.setdiff1d(self.table.frame, self.table.frame[kept])
        _, first = np.unique(self.table.frame, return_index=True)
        for row in first[np.isin(self.table.frame[first], gone)]:
            self.reasons[int(self.table.frame[row])] = why(self.table.take(np.array([row])))
        self.table = self.table.take(kept)
        if self.fit.size:
            self.fit = self.fit[kept]
        if len(gone):
            paths = tuple(self.snapshot.frames[frame].path for frame in gone[:EXAMPLES])
            self.ruled_out.append(RuledOut(rule=rule, frames=len(gone), says=says(len(gone)), examples=paths))

    def render(self) -> None:
        """Make the renditions of the rows that are left; from here on no row may go."""
        self.renditions = to_renditions(self.snapshot.frames, self.table, self.brief.tone.treatment)
