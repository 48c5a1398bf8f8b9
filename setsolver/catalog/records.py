"""What goes into the index and comes out of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.frame import Shot
from setsolver.domain.measures import Measures

__all__ = ["Groups", "Known", "Measured", "Pairs", "RefusedRow", "Retold"]


@dataclass(frozen=True, slots=True)
class Known:
    """What tells whether a file has changed since its row was written. ``digest`` : empty for refused files.

    turn : degrees clockwise by which the picture was turned before it was measured, because the user said so.
    """

    size: int
    mtime_ns: int
    stamp: str
    version: str
    digest: bytes = b""
    turn: int = 0


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


@dataclass(frozen=True, slots=True, eq=False)
class Retold:
    """A frame measured again from what was kept of it; its file was not opened, all else of its row stays."""

    path: str
    version: str
    measures: Measures


@dataclass(frozen=True, slots=True)
class RefusedRow:
    """A file that could not be measured; ``again`` : it was out of reach, so the next scan tries again."""

    path: str
    known: Known
    why: str
    again: bool = False


class Pairs(NamedTuple):
    """Like frames among n.

    first < second : int64[P], positions, in order. series : the frames of each series, int64 positions in order; all
    frames that pairs link to each other, however many steps apart, are in one. No pair lies in a series.
    """

    first: NDArray[np.int64]
    second: NDArray[np.int64]
    series: tuple[NDArray[np.int64], ...] = ()

    def links(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Return pairs that connect the same frames: those there are, and a chain for each series."""
        return (
            np.concatenate([self.first, *(frames[:-1] for frames in self.series)]),
            np.concatenate([self.second, *(frames[1:] for frames in self.series)]),
        )


@dataclass(frozen=True, slots=True, eq=False)
class Groups:
    """What grouping found of n frames. labels : int64[n, 3], moment, scene and chapter. same : near-duplicates."""

    labels: NDArray[np.int64]
    same: Pairs
    remarks: tuple[str, ...] = ()
