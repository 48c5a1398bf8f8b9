"""Gains: what a member of a set earns on its own, rule by rule, each with a sentence."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from setsolver.domain.brief import Brief
from setsolver.domain.rendition import Rendition
from setsolver.domain.snapshot import Snapshot
from setsolver.rules.draft import Rule
from setsolver.rules.framing import Framing

__all__ = ["GainRule", "Member"]


@dataclass(frozen=True)
class Member:
    """A rendition in a role, as a gain rule sees it when it has to explain itself. marks : of its crop, as floats."""

    snapshot: Snapshot
    brief: Brief
    rendition: Rendition
    role: str
    marks: Framing
    tilt: float


class GainRule(Rule, Protocol):
    """A rule that pays points to each rendition in each role."""

    def says(self, member: Member) -> str:
        """Return why the member earns what it earns."""
        ...
