"""A set as terms see it when they explain themselves: its members, its look, and what is paid for what."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from setsolver.crops.framing import Framing
from setsolver.domain.brief import Brief
from setsolver.domain.outcome import LedgerLine
from setsolver.domain.problem import Floats
from setsolver.domain.rendition import Rendition
from setsolver.domain.slot import Slot
from setsolver.domain.snapshot import Snapshot
from setsolver.domain.unweighted import Axis, Unweighted
from setsolver.domain.validate import effort_of, phi

if TYPE_CHECKING:
    from setsolver.rules.assembly import Assembly
    from setsolver.rules.term import Term

__all__ = ["ChosenSet", "Member"]


@dataclass(frozen=True)
class Member:
    """A rendition in a slot. row, column : its indexes in the problem. marks : of its crop, as floats.

    tilt : degrees that it stays off level.
    """

    snapshot: Snapshot
    brief: Brief
    rendition: Rendition
    slot: Slot
    row: int
    column: int
    marks: Framing
    tilt: float

    @property
    def path(self) -> str:
        """Path of the frame."""
        return self.rendition.frame.path


@dataclass(frozen=True)
class ChosenSet:
    """N members of an assembly.

    chosen, roles : row and role indexes [N]. look : a value for each of the problem's tone axes.
    """

    assembly: Assembly
    chosen: tuple[int, ...]
    roles: tuple[int, ...]
    look: tuple[float, ...]

    @property
    def parts(self) -> Unweighted:
        """The problem without weights."""
        return self.assembly.parts

    @cached_property
    def members(self) -> tuple[Member, ...]:
        """The members in the order of ``chosen``."""
        return tuple(self.assembly.member(row, role) for row, role in zip(self.chosen, self.roles, strict=True))

    @cached_property
    def paths(self) -> tuple[str, ...]:
        """Paths of the members."""
        return tuple(self.assembly.renditions[row].frame.path for row in self.chosen)

    def paths_of(self, which: np.ndarray) -> tuple[str, ...]:
        """Return the paths of the members marked in ``which`` [N]."""
        return tuple(path for path, marked in zip(self.paths, which, strict=True) if marked)

    @cached_property
    def levels(self) -> Floats:
        """The look on every axis of ``parts``; NaN where the weights left an axis out of the problem."""
        levels = np.full(len(self.parts.axes), np.nan)
        levels[list(self.parts.kept(self.assembly.weights))] = self.look
        return levels

    @cached_property
    def phi(self) -> dict[str, float]:
        """What the set is worth to each term, before weights.

        Where an axis costs nothing, the solver leaves the look anywhere; its worth is then that of the best look.
        """
        costs = np.array([self.assembly.weights.get(axis.term, 0.0) > 0 for axis in self.parts.axes], dtype=bool)
        return phi(self.parts, self.chosen, self.roles, np.where(costs, self.levels, np.nan))

    def weight(self, term: Term) -> float:
        """Return the points that the brief gives for one unit of a term."""
        return self.assembly.weights.get(term.name, 0.0)

    def axes(self, term: Term) -> Iterator[tuple[Axis, float, Floats, Floats]]:
        """Yield a term's axes that are in the problem: axis, level of the look, distance [N] to it, effort [N]."""
        rows = np.asarray(self.chosen, dtype=np.int64)
        for axis, level in zip(self.parts.axes, self.levels, strict=True):
            if axis.term == term.name and not np.isnan(level):
                value = axis.value[rows]
                yield axis, float(level), value - level, effort_of(value, axis.slack, axis.reach, float(level))

    def line(self, term: Term, worth: float, frames: tuple[str, ...], says: str) -> LedgerLine:
        """Return a line of the ledger: ``worth`` is before weights."""
        return LedgerLine(rule=term.name, points=self.weight(term) * worth + 0.0, frames=frames, says=says)
