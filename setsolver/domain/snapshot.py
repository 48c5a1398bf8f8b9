"""A catalog as rules see it: all frames at one moment, without files or database."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.frame import Frame
from setsolver.domain.learned import as_read

__all__ = ["Refused", "Snapshot"]


@dataclass(frozen=True, slots=True)
class Refused:
    """A file that could not be measured, and why in a sentence."""

    path: str
    why: str


@dataclass(frozen=True, slots=True, eq=False)
class Snapshot:
    """Frames in order of path with ids 0..n-1, near-duplicates, and refused files.

    folder : the catalog's folder as the user gave it. pairs : pairs of frame ids (a < b) that a viewer would call
    the same picture, also across moments. series : frame ids of each series: so many frames linked by likeness that
    they count as one picture, each of them with each; their pairs are not listed. A series lies within one moment.
    signatures : returns ids [n] and unit vectors float32[n, d] of the frames of which they are known, whose dot
    products tell twins (``domain.twins``); None where nobody can tell. resaid : told what is said of
    frames besides (scale, stars or kind by path; None = taken back), returns the catalog as it is then, without a look
    at its index; None where only the index can tell. remeasured : told frames that were measured again, by path, as the
    index holds them, and what was said of cameras' clocks, returns the catalog as it is then; None as for ``resaid``.
    turned : told how frames are said to be turned, by path, returns the catalog as far as it is known before they are
    measured so (``domain.turned``), their groups as they were; None as for ``resaid``.
    """

    folder: str
    frames: Sequence[Frame]
    pairs: tuple[tuple[int, int], ...] = ()
    refused: tuple[Refused, ...] = ()
    series: tuple[tuple[int, ...], ...] = ()
    signatures: Callable[[], tuple[NDArray[np.int64], NDArray[np.float32]]] | None = None
    resaid: Callable[[Mapping[str, Mapping[str, str | None]]], Snapshot] | None = None
    remeasured: Callable[[Mapping[str, Frame], Mapping[str, str]], Snapshot] | None = None
    turned: Callable[[Mapping[str, int | None]], Snapshot] | None = None

    def by_path(self, path: str) -> Frame | None:
        """Return the frame with this path in the catalog, or None."""
        read = as_read(self.frames)
        return next((self.frames[at] for at, frame in enumerate(read) if frame.path == path), None)
