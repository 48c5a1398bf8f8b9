"""Shapes of what is said of briefs and tastes, and where a board is."""

from __future__ import annotations

from typing import Literal

from setsolver.domain.brief import Brief
from setsolver.domain.document import Document
from setsolver.domain.taste import Taste

__all__ = ["BoardAddress", "BriefUnderstood", "Briefs", "LearnedFound"]


class BriefNamed(Document):
    """A brief that comes with setsolver. album : it asks for a book, whose spreads say how many frames there are."""

    name: str
    size: int
    says: str
    album: bool = False


class Briefs(Document):
    """The briefs that come with setsolver."""

    format: Literal["setsolver/briefs"]
    version: Literal[1]
    briefs: tuple[BriefNamed, ...]


class BriefUnderstood(Document):
    """A brief with all defaults filled in."""

    format: Literal["setsolver/brief"]
    version: Literal[1]
    brief: Brief


class BoardAddress(Document):
    """Where a board can be opened, on this machine alone."""

    format: Literal["setsolver/board-address"]
    version: Literal[1]
    address: str


class WeightMoved(Document):
    """A weight before and after learning, in points."""

    weight: str
    before: float
    after: float


class LearnedFound(Document):
    """A taste fitted to choices; told, left_out : shares of them that it tells, fitted and left out; null = unknown.

    unmatched : delivered files that are called like no frame of their shoot.
    """

    format: Literal["setsolver/learned"]
    version: Literal[1]
    taste: Taste
    moved: tuple[WeightMoved, ...]
    told_before: float
    told: float
    left_out: float | None
    contradictions: tuple[str, ...]
    unmatched: tuple[str, ...] = ()
