"""The album as a document (``setsolver/album`` version 1): spreads with their pictures, in order, and what they score.

Lengths are centimetres from the top left corner of the trimmed spread, so that what bleeds begins below 0; crops are
fractions of the levelled upright frame; points as in the ledger.
"""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field

from setsolver.domain.document import Document
from setsolver.domain.finish import FileMade
from setsolver.domain.outcome import Clashing, Correction, LedgerLine, RuledOut, ToneRecord
from setsolver.domain.plan import Placed

__all__ = ["Album", "AlbumChapter", "AlbumFrame", "AlbumSpread", "OtherSpread", "PageSize"]


class PageSize(Document):
    """The trimmed page, and what lies around it. gutter_mm : swallowed by the fold, of each page."""

    width_cm: float
    height_cm: float
    bleed_mm: float
    safe_mm: float
    gutter_mm: float


class AlbumFrame(Document):
    """A picture of a spread.

    slot : the part that it plays there. place : on the spread, with its bleed. ppi : pixels per inch at that size. The
    rest is as in an outcome.
    """

    path: str
    slot: str
    place: Placed
    crop: tuple[float, float, float, float]
    level_degrees: float
    treatment: str
    width: int
    height: int
    crop_width: int
    crop_height: int
    ppi: float
    tone: ToneRecord
    correction: Correction
    time: str | None = None
    caption: str = ""


class OtherSpread(Document):
    """Another spread that could stand in a spread's place. points : what the book gains, or loses where below 0."""

    kind: str
    frames: tuple[str, ...]
    points: float


class AlbumSpread(Document):
    """Two facing pages. number : from 1. chapter : its number. pace : "full" or "quiet". mirrored : left for right.

    score : mean points of a picture on it, larger pictures counting more. locked : kept as it was at somebody's wish.
    """

    number: int
    chapter: int
    kind: str
    pace: Literal["full", "quiet"]
    mirrored: bool = False
    locked: bool = False
    score: float
    look: ToneRecord
    frames: tuple[AlbumFrame, ...]
    ledger: tuple[LedgerLine, ...]
    others: tuple[OtherSpread, ...] = ()


class AlbumChapter(Document):
    """A chapter of the book: its first spread, frames of the catalog, and from when to when they were taken."""

    number: int
    title: str
    spread: int
    spreads: int
    frames: int
    begins: str | None = None
    ends: str | None = None


class Album(Document):
    """The whole answer.

    status : "proven" (no book under the brief scores more), "open" (a book, and a gap that is left), "none" (no book
    exists), "undecided". score, bound : of the book, null where there is none. greedy : points of the book made chapter
    by chapter, null where that comes to a dead end. columns : spreads that were proven on the way. ledger : of the
    book; it adds up to the score. hurried : time ended the search before its work was done, so that the same call may
    give another book; without it, the same frames, brief and work give the same book. changes : what was asked of an
    earlier album and what it costs.
    """

    format: Literal["setsolver/album"] = "setsolver/album"
    version: Literal[1] = 1
    made: str = ""
    tool: str = ""
    job: str = Field(default="", description="digest of what was asked in a batch, by which it is taken up again")
    brief: dict[str, Any]
    catalog: str
    catalog_frames: int
    considered: int
    page: PageSize
    status: Literal["proven", "open", "none", "undecided"]
    score: float | None = None
    bound: float | None = None
    gap: float | None = None
    greedy: float | None = None
    columns: int = 0
    seconds: float
    hurried: bool = False
    chapters: tuple[AlbumChapter, ...] = ()
    spreads: tuple[AlbumSpread, ...] = ()
    ledger: tuple[LedgerLine, ...] = ()
    conflict: tuple[Clashing, ...] = ()
    ruled_out: tuple[RuledOut, ...] = ()
    changes: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    files: tuple[FileMade, ...] = Field(default=(), description="what lies beside the document")
