"""Shapes of what is said of sets: a grade, a comparison, why a frame is in or out."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from setsolver.domain.document import Document
from setsolver.domain.outcome import Clashing, LedgerLine, SetFound, ToneRecord

__all__ = ["Check", "Comparison", "Why"]


class BreakFound(Document):
    """A rule that a set breaks. frames : that it is about, none where one is missing."""

    says: str
    frames: tuple[str, ...]
    way_out: str


class SwapOffered(Document):
    """The best set that keeps the rules with one frame changed. points : gained; null where the set breaks a rule."""

    leaves: str
    enters: str
    score: float
    points: float | None
    proven: bool
    says: str


class Check(Document):
    """A set made by hand, graded. broken : the sentences of ``breaks``; set : null where nothing can be graded."""

    format: Literal["setsolver/check"]
    version: Literal[1]
    brief: str
    frames: tuple[str, ...]
    holds: bool
    broken: tuple[str, ...]
    breaks: tuple[BreakFound, ...]
    swap: SwapOffered | None
    notes: tuple[str, ...]
    set: SetFound | None


class Playing(Document):
    """A frame of a set and what it shows."""

    path: str
    role: str


class Compared(Document):
    """One of the sets compared. rules : points by term."""

    set: str
    score: float
    bound: float
    proven: bool
    look: ToneRecord
    frames: tuple[Playing, ...]
    rules: dict[str, float]


class Pair(Document):
    """Two sets side by side; points, rules and look are the second's less the first's."""

    sets: tuple[str, str]
    shared: tuple[str, ...]
    only_first: tuple[str, ...]
    only_second: tuple[str, ...]
    points: float
    rules: dict[str, float]
    look: dict[str, float]
    warnings: tuple[str, ...]


class Comparison(Document):
    """Sets side by side."""

    format: Literal["setsolver/comparison"]
    version: Literal[1]
    sets: tuple[Compared, ...]
    pairs: tuple[Pair, ...]


class Why(Document):
    """Why a frame is in a set, or what it would cost.

    lines : of the ledger, of this set or (of an absent frame) of ``instead``. points : lost in ``instead``, null where
    there is no such set. terms : by term, what ``instead`` gains, below 0 where it loses. made : what the set scored
    when it was made, null where it scores that now.
    """

    format: Literal["setsolver/why"]
    version: Literal[1]
    frame: str
    in_set: bool
    score: float
    made: float | None = None
    lines: tuple[LedgerLine, ...]
    says: str
    points: float | None
    terms: dict[str, float] = Field(default_factory=dict)
    proven: bool = False
    leave: tuple[str, ...] = ()
    enter: tuple[str, ...] = ()
    instead: SetFound | None
    conflict: tuple[Clashing, ...] = ()
