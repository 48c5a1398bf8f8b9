"""Shapes of the documents with which verbs answer beside the outcome: their schemas are made of them."""

from __future__ import annotations

from typing import Final, Literal

from pydantic import Field

from setsolver.domain.brief import Brief
from setsolver.domain.document import Document
from setsolver.domain.outcome import Clashing, LedgerLine, RuledOut, SetFound, ToneRecord
from setsolver.domain.taste import Taste

__all__ = [
    "ANSWERS",
    "Albums",
    "BoardAddress",
    "BriefUnderstood",
    "Briefs",
    "Check",
    "Comparison",
    "Gaps",
    "LearnedFound",
    "Scan",
    "SolutionFound",
    "Why",
]


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
    there is no such set. terms : by term, what ``instead`` gains, below 0 where it loses.
    """

    format: Literal["setsolver/why"]
    version: Literal[1]
    frame: str
    in_set: bool
    score: float
    lines: tuple[LedgerLine, ...]
    says: str
    points: float | None
    terms: dict[str, float] = Field(default_factory=dict)
    proven: bool = False
    leave: tuple[str, ...] = ()
    enter: tuple[str, ...] = ()
    instead: SetFound | None
    conflict: tuple[Clashing, ...] = ()


class Missing(Document):
    """Frames to shoot in one role, and the look that they should have."""

    role: str
    frames: int
    look: dict[str, float]
    says: str


class Thin(Document):
    """How many frames can play a role, and the points that one more good one would gain."""

    role: str
    frames: int
    points: float
    says: str


class Gaps(Document):
    """What a catalog lacks for a brief."""

    format: Literal["setsolver/gaps"]
    version: Literal[1]
    brief: str
    catalog: str
    possible: bool
    says: str
    missing: tuple[Missing, ...]
    thin: tuple[Thin, ...]
    notes: tuple[str, ...]
    conflict: tuple[Clashing, ...]
    ruled_out: tuple[RuledOut, ...]


class FileRefused(Document):
    """A file that could not be measured."""

    path: str
    why: str


class Unread(Document):
    """Pictures of a format that is not read."""

    ending: str
    files: int
    why: str


class Scan(Document):
    """What a scan did. unseen : frames kept although the folder they lie in could not be listed."""

    format: Literal["setsolver/scan"]
    version: Literal[1]
    catalog: str
    frames: int
    new: int
    changed: int
    unchanged: int
    removed: int
    refused: tuple[FileRefused, ...]
    unseen: int
    unread: tuple[Unread, ...]
    remarks: tuple[str, ...]
    seconds: float


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


class AlbumTold(Document):
    """One event of a batch. status : as in an album, or "failed", which ``why`` explains. kept : there from before."""

    name: str
    status: Literal["proven", "open", "none", "undecided", "failed"]
    score: float | None
    gap: float | None
    seconds: float
    spreads: int
    pictures: int
    why: str
    cover: str
    kept: bool


class Albums(Document):
    """Albums of many events."""

    format: Literal["setsolver/albums"]
    version: Literal[1]
    tool: str
    albums: tuple[AlbumTold, ...]


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


ANSWERS: Final[dict[str, type[Document]]] = {
    "albums": Albums,
    "board-address": BoardAddress,
    "brief-understood": BriefUnderstood,
    "briefs": Briefs,
    "check": Check,
    "comparison": Comparison,
    "gaps": Gaps,
    "learned": LearnedFound,
    "scan": Scan,
    "solution": SolutionFound,
    "why": Why,
}
"""What ``--json`` prints, by the last word of its ``format`` (``brief.schema.json`` is that of a brief's file)."""
