"""A catalog as rules see it: all frames at one moment, without files or database."""

from __future__ import annotations

from dataclasses import dataclass

from setsolver.domain.frame import Frame

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
    """

    folder: str
    frames: tuple[Frame, ...]
    pairs: tuple[tuple[int, int], ...] = ()
    refused: tuple[Refused, ...] = ()
    series: tuple[tuple[int, ...], ...] = ()

    def by_path(self, path: str) -> Frame | None:
        """Return the frame with this path in the catalog, or None."""
        return next((frame for frame in self.frames if frame.path == path), None)
