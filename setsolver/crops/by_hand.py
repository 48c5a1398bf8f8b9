"""Crops framed by hand: where the user put the middle, how large, how level; always on the frame, at each aspect."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from setsolver.crops.canvas import at_of, crop_height, crops_at
from setsolver.crops.columns import FrameColumns, stack_frames
from setsolver.crops.framing import Framing, Scenery, judge, scenery_of
from setsolver.crops.odds import odds_of_crops
from setsolver.crops.placing import place_crops
from setsolver.crops.renditions import LINEAR, CropTable, join_tables, keeps_after
from setsolver.crops.straightening import level_angles, remaining_tilt
from setsolver.domain.cut import Cut

if TYPE_CHECKING:
    from setsolver.domain.brief import CropWish
    from setsolver.domain.frame import Frame
    from setsolver.domain.problem import Floats

__all__ = ["crop_by_hand", "framed_by_hand"]


def framed_by_hand(
    table: CropTable, frames: Sequence[Frame], cuts: Sequence[Cut], wishes: Mapping[int, CropWish]
) -> CropTable:
    """Return the table with the crops of some frames, by row, as their wishes say; those of others as they are.

    A place or a size is the user's word on what must be kept; a level alone is not.
    """
    if not wishes:
        return table
    rest = table.take(np.flatnonzero(~np.isin(table.frame, list(wishes))))
    return join_tables([rest, *(_crops(frames[row], row, cuts, wish) for row, wish in wishes.items())])


def crop_by_hand(frame: Frame, aspect: float, wish: CropWish) -> CropTable:
    """Return the one crop of a frame that a wish asks for, the largest where it names no size."""
    found = _crops(frame, 0, (Cut(aspect),), wish)
    return found.take(np.zeros(1, dtype=np.int64))


def _crops(frame: Frame, row: int, cuts: Sequence[Cut], wish: CropWish) -> CropTable:
    columns = stack_frames((frame,))
    measured = level_angles(columns.tilt, columns.tilt_sure, columns.odds[:, 2])
    level = measured if wish.level is None else np.array([wish.level])
    scenery = scenery_of(columns, level)
    sizes = LINEAR if wish.share is None else (wish.share,)
    parts = [
        replace(_crop(columns, scenery, level, cut, size, wish), cut=np.array([number]))
        for (number, cut), size in product(enumerate(cuts), sizes)
    ]
    found = join_tables(parts)
    return replace(found, frame=np.full(len(found.frame), row))


def _crop(columns: FrameColumns, scenery: Scenery, level: Floats, cut: Cut, size: float, wish: CropWish) -> CropTable:
    aspect = cut.aspect
    largest = crop_height(aspect, level, columns.aspect)
    unlevelled = crop_height(aspect, np.zeros_like(level), columns.aspect)
    box, marks = _placed(columns, scenery, level, cut, largest * size, wish)
    close = columns.odds[:, 2]
    said = wish.level is not None  # whoever levels by hand sees that it is level
    tilt = np.zeros_like(level) if said else remaining_tilt(columns.tilt, columns.tilt_sure, close, level)
    return CropTable(
        frame=np.zeros(1, dtype=np.int64),
        cut=np.zeros(1, dtype=np.int64),
        linear=np.full(1, size),
        box=box,
        level=level,
        tilt=tilt,
        level_cost=1.0 - (largest / unlevelled) ** 2,
        pixels=np.floor(box[:, 2:] * columns.pixels + 1e-6),
        odds=odds_of_crops(columns.odds, columns.inner_odds, box),
        marks=marks,
        keeps=np.ones(1, dtype=bool) if wish.framed else keeps_after(columns, marks, size),
    )


def _placed(
    columns: FrameColumns, scenery: Scenery, level: Floats, cut: Cut, height: Floats, wish: CropWish
) -> tuple[Floats, Framing]:
    if wish.x is None or wish.y is None:
        return place_crops(scenery, cut, height, level, columns.aspect)
    at = at_of(cut.aspect, height, level, columns.aspect, np.array([[[wish.x, wish.y]]]))
    boxes = crops_at(cut.aspect, height, level, columns.aspect, at)
    return boxes[:, 0], judge(scenery, boxes).pick(np.zeros(1, dtype=np.int64))
