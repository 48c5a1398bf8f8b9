"""What goes into the index and comes out of it."""

from __future__ import annotations

from dataclasses import dataclass

from setsolver.domain.frame import Shot
from setsolver.domain.measures import Measures

__all__ = ["Known", "Measured", "RefusedRow"]


@dataclass(frozen=True, slots=True)
class Known:
    """What tells whether a file has changed since its row was written. ``digest`` : empty for refused files."""

    size: int
    mtime_ns: int
    stamp: str
    version: str
    digest: bytes = b""


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """A frame to be written; ``measures`` None keeps those of the row that is there (the pixels have not changed)."""

    path: str
    known: Known
    width: int
    height: int
    shot: Shot
    note: str
    measures: Measures | None


@dataclass(frozen=True, slots=True)
class RefusedRow:
    """A file that could not be measured; ``again`` : it was out of reach, so the next scan tries again."""

    path: str
    known: Known
    why: str
    again: bool = False
