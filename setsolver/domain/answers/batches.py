"""Shapes of what is said of many albums."""

from __future__ import annotations

from typing import Literal

from setsolver.domain.document import Document

__all__ = ["Albums"]


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
