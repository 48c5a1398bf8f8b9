"""What a term is: one line of the score or one hard rule of a brief, in a file of its own.

A term says what it gives before weights, and explains in a ledger what a set got for it. Everything that it can give
is a method of ``Draft``; nothing else exists, because every term must become a part of the problem, so that a ledger
can be computed from the set alone.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import TYPE_CHECKING, Any, ClassVar

import numpy as np

from setsolver.rules.words import count, number

if TYPE_CHECKING:
    from setsolver.domain.outcome import LedgerLine
    from setsolver.domain.unweighted import Axis
    from setsolver.rules.chosen import ChosenSet, Member
    from setsolver.rules.draft import Draft

__all__ = ["AxisTerm", "GainTerm", "Term"]


class Term(ABC):
    """A term. Its class needs no argument to be made; the registry makes one of each.

    Attributes
    ----------
    name : in the ledger, in ``phi`` and in what was ruled out; no two terms share one.
    key : of its weight in the brief ("weights.quality"), or of the rule that it reads ("repeats.scene"; "rules.odd" for
        a rule that another package brings, which reads its value by ``given``).
    rank : when it speaks, and where its lines stand in the ledger: 0 to 9 wishes, 10 to 29 what takes frames out, 30
        the size, 40 and more what pays, costs or limits.
    waived : True where a wish for a frame (include) is stronger than this rule; the answer then says so.
    way_out : what to do where a wished frame is taken out by this rule all the same.
    loosening : what to change in the brief so that the rule takes out fewer frames, "" where nothing does.
    """

    name: ClassVar[str]
    key: ClassVar[str]
    rank: ClassVar[int] = 50
    waived: ClassVar[bool] = False
    way_out: ClassVar[str] = "change that rule, or do not include it"
    loosening: ClassVar[str] = ""

    @classmethod
    def check(cls, value: bool | float | str) -> str:  # noqa: FBT001 - a value of a brief
        """Return what is allowed in words where a value of the key "rules.…" is not, "" where it is."""
        return "" if isinstance(value, bool) else "true or false"

    @classmethod
    def given(cls, draft: Draft) -> Any:
        """Return the value that the brief gives for the key "rules.…", None where it gives none."""
        return draft.brief.rules.given.get(cls.key.partition(".")[2])

    @abstractmethod
    def apply(self, draft: Draft) -> None:
        """Give what the term gives to the draft of a problem.

        Raises
        ------
        BadBrief
            Where the brief's rule cannot be meant for this catalog.
        """

    def explain(self, found: ChosenSet) -> list[LedgerLine]:  # noqa: ARG002 - a rule without points says nothing
        """Return the lines of a set that are due to this term; they add up to its weight times its ``phi``."""
        return []


class GainTerm(Term):
    """A term that pays each rendition by itself (``Draft.pay``); its subclass finds the words."""

    @abstractmethod
    def says(self, member: Member) -> str:
        """Return why a member of a set earns what it earns."""

    def explain(self, found: ChosenSet) -> list[LedgerLine]:
        """Return a line for each member; none where the term pays nobody, such as rating in an unrated catalog."""
        if found.weight(self) == 0 or not found.parts.gains[self.name].any():
            return []
        lines = []
        for member in found.members:
            worth = float(found.parts.gains[self.name][member.row, member.column])
            lines.append(found.line(self, worth, (member.path,), self.says(member)))
        return lines


class AxisTerm(Term):
    """A term of axes on which a set should agree (``Draft.agree``): what lies beyond the slack costs."""

    def says(self, axis: Axis, level: float, away: np.ndarray, paths: tuple[str, ...]) -> str:
        """Return how a set keeps together on one axis.

        Parameters
        ----------
        level : of the look. away : [N], how far each member lies from it. paths : of the members.
        """
        beyond = int((np.abs(away) > axis.slack).sum())
        where = self.level(axis, level)
        if beyond == 0:
            return f"{where}: all frames within {axis.slack:g} of it"
        lie, far = "lies" if beyond == 1 else "lie", int(np.abs(away).argmax())
        return (
            f"{where}: {count(beyond, 'frame')} {lie} more than {axis.slack:g} from it, "
            f"the furthest is {paths[far]}, {self.away(axis, float(away[far]))}"
        )

    def level(self, axis: Axis, level: float) -> str:
        """Return an axis with the level of the look on it."""
        return f"{axis.says} {number(level, 0)}"

    def away(self, axis: Axis, away: float) -> str:  # noqa: ARG002 - a term of its own words needs the axis
        """Return how far a frame lies from the look, and on which side."""
        return f"{number(abs(away))} {'above' if away > 0 else 'below'} it"

    def explain(self, found: ChosenSet) -> list[LedgerLine]:
        """Return a line for each axis that counts."""
        return [
            found.line(
                self, -float(effort.sum()), found.paths_of(effort > 0), self.says(axis, level, away, found.paths)
            )
            for axis, level, away, effort in found.axes(self)
        ]
