"""Shapes of what is said of a catalog: what a scan did, and what to shoot."""

from __future__ import annotations

from typing import Literal

from setsolver.domain.document import Document
from setsolver.domain.outcome import Clashing, RuledOut

__all__ = ["Gaps", "Scan"]


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
