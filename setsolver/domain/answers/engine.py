"""Shapes of the bare engine's answer, in the words of its field."""

from __future__ import annotations

from typing import Literal

from setsolver.domain.document import Document

__all__ = ["SolutionFound"]


class SolutionChoice(Document):
    """A set of a bare problem: indexes of renditions and roles, a look for each axis."""

    kind: str
    chosen: tuple[int, ...]
    roles: tuple[int, ...]
    look: tuple[float, ...]
    score: float
    bound: float
    proven: bool


class SolutionClash(Document):
    """One rule of a minimal set of rules that cannot hold together."""

    rule: str
    says: str
    loosened: float | None


class SolutionPrice(Document):
    """What a rule costs; null for what is not finite."""

    about: str
    points: float | None
    least: float | None
    most: float | None
    proven: bool
    set: SolutionChoice | None


class SolutionFound(Document):
    """The bare engine's answer, in the words of its field."""

    format: Literal["setsolver/solution"]
    version: Literal[1]
    status: Literal["optimal", "feasible", "infeasible", "unknown"]
    seconds: float
    nodes: int
    solutions: tuple[SolutionChoice, ...]
    conflict: tuple[SolutionClash, ...]
    prices: tuple[SolutionPrice, ...] = ()
