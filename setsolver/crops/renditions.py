"""Renditions: for each frame the crops at the aspects asked that keep its subject, levelled, with all that follows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from setsolver.crops.canvas import crop_height
from setsolver.crops.clearing import harm
from setsolver.crops.columns import FrameColumns, stack_frames
from setsolver.crops.framing import Framing, Scenery, scenery_of
from setsolver.crops.odds import odds_of_crops
from setsolver.crops.placing import place_crops
from setsolver.crops.straightening import level_angles, remaining_tilt
from setsolver.domain.cut import Cut
from setsolver.domain.frame import Frame
from setsolver.domain.problem import Floats, Ints

__all__ = [
    "DETAIL_SURE",
    "FACE_SHARE",
    "LINEAR",
    "SUBJECT_SURE",
    "TIGHT_SURE",
    "CropTable",
    "cut_all",
    "detail_decides",
    "join_tables",
    "keeps_after",
    "keeps_subject",
]

LINEAR = (1.0, 0.7, 0.5)
"""Linear sizes of the crops tried, against the largest one: whole, one stop and two stops less area."""
SHIFTED = (0.9, 0.8)
"""Sizes in between for crops across a fold or over a trimmed edge: room to move what matters out of it."""
HARMLESS = 1e-9
_FEW = 300
"""Frames up to which crops of all sizes are placed at once."""
TIGHT_SURE = 0.35
"""Confidence of the subject from which a tighter crop about it makes sense."""
TIGHT_AIR = 0.3
"""Mark for air, 0 to 1, that a tighter crop must have: closing in must not look like cutting off."""
SUBJECT_SHARE = 0.8
"""Share of a sure subject's box that a crop must keep: a little less than all, for boxes are drawn around with room."""
TOP_SHARE = 0.88
"""Share of a sure subject's height that must not be lost above."""
SUBJECT_SURE = (0.25, 0.6)
"""Confidence up to which a subject is a guess that rules nothing out, and from which it counts as sure."""
FILLS, DENSE = 0.6, 1.6
"""Share of the frame from which a subject fills it, and attention, against an even spread, that a detail must hold."""
FACE_SHARE, HEAD_SHARE = 0.98, 0.85
"""Share of each main face's box, and of its head with hair and chin, that a crop must keep."""
NEARLY_ALL = (0.93, 0.88)
"""Share of attention from which a crop keeps what matters, whatever the box says, without faces and with some: a box
that is too large shuts out good crops. Faces draw most of the attention themselves."""
DETAIL_SURE = 0.9
"""Odds of a close view from which what runs through the frame from end to end may be cut along its way, as the
photographer did."""


@dataclass(frozen=True)
class CropTable:
    """Columns of M crops.

    frame : [M] row of the frame. cut : [M] which of the cuts asked for. linear : [M] size against the largest of the
    aspect. box : [M, 4]. level, tilt : [M] degrees turned and left. level_cost : [M]. pixels : [M, 2]. odds : [M, 3].
    marks : framing, [M]. keeps : [M] bool, subject kept.
    """

    frame: Ints
    cut: Ints
    linear: Floats
    box: Floats
    level: Floats
    tilt: Floats
    level_cost: Floats
    pixels: Floats
    odds: Floats
    marks: Framing
    keeps: np.ndarray

    def take(self, rows: Ints) -> CropTable:
        """Return some crops, in this order."""
        columns = {name: getattr(self, name)[rows] for name in self.__dataclass_fields__ if name != "marks"}
        return CropTable(**columns, marks=Framing(*(mark[rows] for mark in self.marks)))


def cut_all(frames: Sequence[Frame], cuts: Sequence[Cut]) -> CropTable:
    """Return every crop tried, kept or not: for each cut the largest of each frame first, then the tighter ones.

    A frame whose levelled crop would lose the subject is tried as it stands, too: a slight tilt is the lesser fault.
    Each frame is cut by itself.

    Parameters
    ----------
    cuts : each once, at least one.
    """
    columns = stack_frames(frames)
    level = level_angles(columns.tilt, columns.tilt_sure, columns.odds[:, 2])
    scenery = scenery_of(columns, level)
    tables, everyone = list[CropTable](), np.arange(len(level))
    for number, sizes in ((number, sizes) for number, cut in enumerate(cuts) for sizes in _together(cut, len(level))):
        cut, at, linear = cuts[number], np.tile(everyone, len(sizes)), np.repeat(sizes, len(level))
        one = len(sizes) == 1  # then nothing is copied
        table = _cut(columns if one else columns.take(at), scenery if one else scenery.take(at), cut, level[at], linear)
        lost = np.flatnonzero(~table.keeps & (level[at] != 0))
        if len(lost):
            few, flat = columns.take(at[lost]), np.zeros(len(lost))
            table = _with(table, lost, _cut(few, scenery_of(few, flat), cut, flat, linear[lost]))
        tables.append(replace(table, frame=at, cut=np.full(len(at), number)))
    return join_tables(tables)


def _together(cut: Cut, frames: int) -> Iterable[tuple[float, ...]]:
    """Return which linear sizes are tried in one go: all for a few frames, where calls cost more than numbers."""
    return [_sizes(cut)] if frames <= _FEW else [(size,) for size in _sizes(cut)]


def _sizes(cut: Cut) -> tuple[float, ...]:
    """Return the linear sizes tried; a crop with a fold or an edge to mind may have to be smaller to be moved."""
    return LINEAR if cut.whole else (LINEAR[0], *SHIFTED, *LINEAR[1:])


def _cut(columns: FrameColumns, scenery: Scenery, cut: Cut, level: Floats, linear: Floats) -> CropTable:
    """Return a crop of each frame [F], of its size against the largest."""
    aspect = cut.aspect
    largest = crop_height(aspect, level, columns.aspect)
    unlevelled = crop_height(aspect, np.zeros_like(level), columns.aspect)
    box, marks = place_crops(scenery, cut, largest * linear, level, columns.aspect)
    pixels = np.floor(box[:, 2:] * columns.pixels + 1e-6)
    return CropTable(
        frame=np.arange(len(level)),
        cut=np.zeros(len(level), np.int64),
        linear=linear,
        box=box,
        level=level,
        tilt=remaining_tilt(columns.tilt, columns.tilt_sure, columns.odds[:, 2], level),
        level_cost=1.0 - (largest / unlevelled) ** 2,
        pixels=pixels,
        odds=odds_of_crops(columns.odds, columns.inner_odds, box),
        marks=marks,
        keeps=keeps_after(columns, marks, linear) & (harm(scenery, box[:, None, :], cut)[:, 0] <= HARMLESS),
    )


def keeps_after(columns: FrameColumns, marks: Framing, linear: Floats | float) -> np.ndarray:
    """Return which crops [F] of a size against the largest keep what must be kept."""
    whole = keeps_subject(marks, columns)
    tighter = (whole & closes_in(marks, columns.sure)) | is_detail(marks, columns)
    return np.asarray(np.where(np.isin(linear, (1.0, *SHIFTED)), whole, tighter))


def keeps_subject(marks: Framing, columns: FrameColumns) -> np.ndarray:
    """Return which crops [F] keep the subject, as far as it is known, or nearly all attention, and all main faces."""
    wanted = _wanted(columns.sure)
    detail = columns.odds[:, 2] >= DETAIL_SURE
    share = np.where(detail, marks.along, marks.subject)
    nearly = np.where(np.isnan(columns.faces[:, 0, 0]), *NEARLY_ALL)
    whole = (share >= wanted) & (detail | (marks.top >= TOP_SHARE * wanted / SUBJECT_SHARE))
    return np.asarray((whole | (marks.kept >= nearly)) & _keeps_faces(marks))


def _wanted(sure: Floats) -> Floats:
    """Return the share of the subject's box that a crop must keep, [F]."""
    guess, certain = SUBJECT_SURE
    return SUBJECT_SHARE * np.clip((sure - guess) / (certain - guess), 0.0, 1.0)


def detail_decides(marks: Framing, sure: Floats) -> np.ndarray:
    """Return for which crops [M] it matters to ``keeps_subject`` whether the frame is a detail; sure : [M]."""
    top = marks.top >= TOP_SHARE * _wanted(sure) / SUBJECT_SHARE
    return np.asarray((marks.along != marks.subject) | ~top)


def _keeps_faces(marks: Framing) -> np.ndarray:
    return np.asarray((marks.faces >= FACE_SHARE) & (marks.heads >= HEAD_SHARE))


def closes_in(marks: Framing, sure: Floats) -> np.ndarray:
    """Return which crops [F] close in on a subject worth it: known, whole, and with some air around it."""
    return np.asarray((sure >= TIGHT_SURE) & (marks.subject >= FACE_SHARE) & (marks.air >= TIGHT_AIR))


def is_detail(marks: Framing, columns: FrameColumns) -> np.ndarray:
    """Return which crops [F] are details of a sure subject that fills its frame: where attention is, no face cut."""
    fills = (columns.sure >= SUBJECT_SURE[1]) & (columns.subject[:, 2] * columns.subject[:, 3] >= FILLS)
    return np.asarray(fills & _keeps_faces(marks) & (marks.kept >= DENSE * marks.area))


def _with(table: CropTable, rows: Ints, other: CropTable) -> CropTable:
    """Return the table with the rows of another one put in where that one keeps the subject."""
    order = np.arange(len(table.frame))
    order[rows[other.keeps]] = len(order) + np.flatnonzero(other.keeps)
    both = join_tables([table, other])
    taken = both.take(order)
    return CropTable(**{**vars(taken), "frame": table.frame})


def join_tables(tables: list[CropTable]) -> CropTable:
    """Return the crops of several tables in one, in this order."""
    names = [name for name in CropTable.__dataclass_fields__ if name != "marks"]
    columns = {name: np.concatenate([getattr(table, name) for table in tables]) for name in names}
    marks = Framing(*(np.concatenate(column) for column in zip(*(table.marks for table in tables), strict=True)))
    return CropTable(**columns, marks=marks)
