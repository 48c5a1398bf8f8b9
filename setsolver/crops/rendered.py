"""Renditions of crops, each made when it is asked for: of thousands of crops a set and its words need a handful."""

from __future__ import annotations

from collections.abc import Sequence
from typing import overload

import numpy as np

from setsolver.crops.renditions import CropTable
from setsolver.crops.tones import tones_of_crops
from setsolver.domain.columns import Column
from setsolver.domain.frame import Frame
from setsolver.domain.geometry import Box
from setsolver.domain.known_rows import KnownRows
from setsolver.domain.measures import ScaleOdds, ToneTiles
from setsolver.domain.problem import Floats, Ints
from setsolver.domain.rendition import GRAIN_SIDE, Look, Rendition

__all__ = ["Renditions", "to_renditions"]

_TONES = 5
_CASTS = slice(3, 5)
_TILES = Column(lambda frame: frame.measures.tiles, object)
_SIZE = Column(lambda frame: (frame.width, frame.height), width=2)
_FURTHER = Column(lambda frame: (frame.measures.tone.vignette, frame.measures.detail.grain), width=2)
_known = KnownRows()


class Renditions(Sequence[Rendition]):
    """M crops as renditions.

    Attributes
    ----------
    tones : [M, 7], the tone of each as it is shot, under the treatment, in the order of ``Look``.
    """

    def __init__(self, frames: Sequence[Frame], table: CropTable, treatment: str, tones: Floats) -> None:
        self.frames, self.table, self.treatment, self.tones = frames, table, treatment, tones
        self._made: dict[int, Rendition] = {}

    def __len__(self) -> int:
        return len(self.table.frame)

    @overload
    def __getitem__(self, row: int | np.integer, /) -> Rendition: ...

    @overload
    def __getitem__(self, row: slice, /) -> Sequence[Rendition]: ...

    def __getitem__(self, row: int | np.integer | slice, /) -> Rendition | Sequence[Rendition]:
        if isinstance(row, slice):
            return self.take(np.arange(len(self))[row])
        at = int(row)
        if at not in self._made:
            if not -len(self) <= at < len(self):
                raise IndexError(f"rendition {at} of {len(self)}")
            self._made[at] = self._make(at)
        return self._made[at]

    def take(self, rows: Ints) -> Renditions:
        """Return some renditions, in this order."""
        return Renditions(self.frames, self.table.take(rows), self.treatment, self.tones[rows])

    def _make(self, row: int) -> Rendition:
        table = self.table
        width, height = table.pixels[row].astype(np.int64).tolist()
        return Rendition(
            frame=self.frames[int(table.frame[row])],
            crop=Box(*table.box[row].tolist()),
            level=float(table.level[row]),
            treatment=self.treatment,
            kind="largest" if table.linear[row] == 1.0 else "tighter",
            odds=ScaleOdds(*table.odds[row].tolist()),
            tone=Look(*self.tones[row].tolist()),
            width=width,
            height=height,
            kept=float(table.marks.kept[row]),
            level_cost=float(table.level_cost[row]),
        )


def to_renditions(frames: Sequence[Frame], table: CropTable, treatment: str) -> Renditions:
    """Return the table's crops as renditions, with the tone of each."""
    tiles = _TILES.of(frames)
    every: list[ToneTiles] = tiles.tolist()
    tones = np.empty((len(table.frame), len(Look._fields)))
    tones[:, :_TONES] = _known.of(
        tiles, table.frame, table.box, lambda rows: tones_of_crops(every, table.frame[rows], table.box[rows])
    )
    if treatment == "mono":
        tones[:, _CASTS] = 0.0
    tones[:, _TONES:] = _further(frames, table)
    return Renditions(frames, table, treatment, tones)


def _further(frames: Sequence[Frame], table: CropTable) -> Floats:
    """Return vignette and grain of crops [M, 2], as those of their frames make them.

    A falloff that grows with the square of the distance is less in a crop by the square of its diagonal; even noise is
    averaged less where fewer pixels become one of a small picture.
    """
    size, pixels = _SIZE.of(frames)[table.frame], table.pixels
    share = (pixels**2).sum(axis=1) / (size**2).sum(axis=1)
    averaged = np.maximum(1.0, size.max(axis=1) / GRAIN_SIDE) / np.maximum(1.0, pixels.max(axis=1) / GRAIN_SIDE)
    vignette, grain = _FURTHER.of(frames)[table.frame].T
    return np.stack([vignette * share, grain * averaged], axis=1)
