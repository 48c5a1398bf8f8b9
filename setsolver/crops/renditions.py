"""Renditions: for each frame the crops at the aspects asked that keep its subject, levelled, with all that follows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from setsolver.crops.canvas import crop_height
from setsolver.crops.clearing import harm
from setsolver.crops.columns import FrameColumns, stack_frames
from setsolver.crops.framing import Framing, Scenery, scenery_of
from setsolver.crops.odds import odds_of_crops
from setsolver.crops.placing import place_crops
from setsolver.crops.straightening import level_angles, remaining_tilt
from setsolver.crops.tones import tones_of_crops
from setsolver.domain.cut import Cut
from setsolver.domain.frame import Frame
from setsolver.domain.geometry import Box
from setsolver.domain.measures import ScaleOdds, ToneTiles
from setsolver.domain.problem import Floats, Ints
from setsolver.domain.rendition import GRAIN_SIDE, Look, Rendition

__all__ = [
    "FACE_SHARE",
    "LINEAR",
    "SUBJECT_SURE",
    "TIGHT_SURE",
    "CropTable",
    "cut_crops",
    "join_tables",
    "keeps_after",
    "keeps_subject",
    "to_renditions",
]

LINEAR = (1.0, 0.7, 0.5)
"""Linear sizes of the crops tried, against the largest one: whole, one stop and two stops less area."""
SHIFTED = (0.9, 0.8)
"""Sizes in between for crops across a fold or over a trimmed edge: room to move what matters out of it."""
HARMLESS = 1e-9
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


def cut_crops(frames: tuple[Frame, ...], cuts: Iterable[Cut | float]) -> CropTable:
    """Return every crop tried, kept or not: for each cut the largest of each frame first, then the tighter ones.

    A frame whose levelled crop would lose the subject is tried as it stands, too: a slight tilt is the lesser fault.

    Parameters
    ----------
    cuts : each once, at least one; a number is the aspect, width over height, of a crop that is seen whole.
    """
    return _warmly(frames, tuple(cut if isinstance(cut, Cut) else Cut(cut) for cut in cuts))


_MOST_ANEW = 0.25
"""Share of frames that differ from those cut last up to which only they are cut again."""
_last: list[tuple[tuple[Frame, ...], tuple[Cut, ...], CropTable]] = []


def _warmly(frames: tuple[Frame, ...], cuts: tuple[Cut, ...]) -> CropTable:
    """Cut what differs from the frames cut last: half a second at 5,000. Tables are never changed, only taken from."""
    for known, same_cuts, table in _last[:]:
        if same_cuts != cuts or len(known) != len(frames):
            continue
        if known is frames:
            return table
        other = np.flatnonzero([not _cut_alike(*pair) for pair in zip(frames, known, strict=True)])
        if len(other) <= _MOST_ANEW * len(frames):
            _last[:] = [(frames, cuts, _recut(table, frames, other, cuts))]
            return _last[0][2]
    found = _cut_all(frames, cuts)
    _last[:] = [(frames, cuts, found)]
    return found


def _cut_alike(one: Frame, other: Frame) -> bool:
    """Tell whether two frames are cut alike, because all that crops are made of is the very same."""
    m, n = one.measures, other.measures
    return one is other or (
        m.subject is n.subject
        and m.tilt is n.tilt
        and m.faces is n.faces
        and m.figures is n.figures
        and m.inner_odds == n.inner_odds
        and one.odds == other.odds
        and (one.width, one.height) == (other.width, other.height)
    )


def _recut(table: CropTable, frames: tuple[Frame, ...], changed: Ints, cuts: tuple[Cut, ...]) -> CropTable:
    """Return the table with the rows of some frames cut anew."""
    if len(changed) == 0:
        return table
    few = _cut_all(tuple(frames[at] for at in changed), cuts)
    rows = (np.arange(0, len(table.frame), len(frames))[:, None] + changed).ravel()
    names = [name for name in CropTable.__dataclass_fields__ if name not in ("frame", "marks")]
    columns = {name: _put(getattr(table, name), rows, getattr(few, name)) for name in names}
    marks = (_put(mark, rows, new) for mark, new in zip(table.marks, few.marks, strict=True))
    return CropTable(frame=table.frame, **columns, marks=Framing(*marks))


def _put(column: np.ndarray, rows: Ints, values: np.ndarray) -> np.ndarray:
    whole = column.copy()
    whole[rows] = values
    return whole


def _cut_all(frames: tuple[Frame, ...], cuts: tuple[Cut, ...]) -> CropTable:
    columns = stack_frames(frames)
    level = level_angles(columns.tilt, columns.tilt_sure, columns.odds[:, 2])
    scenery = scenery_of(columns, level)
    tables = []
    for number, linear in ((number, size) for number, cut in enumerate(cuts) for size in _sizes(cut)):
        cut = cuts[number]
        table = _cut(columns, scenery, cut, level, linear)
        lost = np.flatnonzero(~table.keeps & (level != 0))
        if len(lost):
            few, flat = columns.take(lost), np.zeros(len(lost))
            table = _with(table, lost, _cut(few, scenery_of(few, flat), cut, flat, linear))
        tables.append(replace(table, cut=np.full(len(level), number)))
    return join_tables(tables)


def _sizes(cut: Cut) -> tuple[float, ...]:
    """Return the linear sizes tried; a crop with a fold or an edge to mind may have to be smaller to be moved."""
    return LINEAR if cut.whole else (LINEAR[0], *SHIFTED, *LINEAR[1:])


def _cut(columns: FrameColumns, scenery: Scenery, cut: Cut, level: Floats, linear: float) -> CropTable:
    aspect = cut.aspect
    largest = crop_height(aspect, level, columns.aspect)
    unlevelled = crop_height(aspect, np.zeros_like(level), columns.aspect)
    box, marks = place_crops(scenery, cut, largest * linear, level, columns.aspect)
    pixels = np.floor(box[:, 2:] * columns.pixels + 1e-6)
    return CropTable(
        frame=np.arange(len(level)),
        cut=np.zeros(len(level), np.int64),
        linear=np.full(len(level), linear),
        box=box,
        level=level,
        tilt=remaining_tilt(columns.tilt, columns.tilt_sure, columns.odds[:, 2], level),
        level_cost=1.0 - (largest / unlevelled) ** 2,
        pixels=pixels,
        odds=odds_of_crops(columns.odds, columns.inner_odds, box),
        marks=marks,
        keeps=keeps_after(columns, marks, linear) & (harm(scenery, box[:, None, :], cut)[:, 0] <= HARMLESS),
    )


def keeps_after(columns: FrameColumns, marks: Framing, linear: float) -> np.ndarray:
    """Return which crops [F] of a size against the largest keep what must be kept."""
    whole = keeps_subject(marks, columns)
    if linear in (1.0, *SHIFTED):
        return whole
    return np.asarray((whole & closes_in(marks, columns.sure)) | is_detail(marks, columns))


def keeps_subject(marks: Framing, columns: FrameColumns) -> np.ndarray:
    """Return which crops [F] keep the subject, as far as it is known, or nearly all attention, and all main faces."""
    guess, certain = SUBJECT_SURE
    wanted = SUBJECT_SHARE * np.clip((columns.sure - guess) / (certain - guess), 0.0, 1.0)
    detail = columns.odds[:, 2] >= DETAIL_SURE
    share = np.where(detail, marks.along, marks.subject)
    nearly = np.where(np.isnan(columns.faces[:, 0, 0]), *NEARLY_ALL)
    whole = (share >= wanted) & (detail | (marks.top >= TOP_SHARE * wanted / SUBJECT_SHARE))
    return np.asarray((whole | (marks.kept >= nearly)) & _keeps_faces(marks))


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


_toned: list[tuple[tuple[ToneTiles, ...], dict[tuple[float, ...], Floats]]] = []


def _tones(tiles: tuple[ToneTiles, ...], table: CropTable) -> Floats:
    """Return the tones of crops, [M, 5]; those of crops toned last are known."""
    keys = [(frame, *box) for frame, box in zip(table.frame.tolist(), table.box.tolist(), strict=True)]
    old, known = next((held for held in _toned[:] if len(held[0]) == len(tiles)), ((), {}))
    new = [at for at, key in enumerate(keys) if key not in known or old[int(key[0])] is not tiles[int(key[0])]]
    toned = dict(zip(new, tones_of_crops(tiles, table.frame[new], table.box[new]), strict=True))
    rows = [toned[at] if at in toned else known[key] for at, key in enumerate(keys)]
    _toned[:] = [(tiles, dict(zip(keys, rows, strict=True)))]
    return np.array(rows, dtype=np.float64).reshape(len(rows), 5)


def to_renditions(frames: tuple[Frame, ...], table: CropTable, treatment: str) -> tuple[Rendition, ...]:
    """Return the table's crops as renditions, with the tone of each."""
    tones = _tones(tuple(frame.measures.tiles for frame in frames), table)
    if treatment == "mono":
        tones[:, 3:] = 0.0
    columns = (table.frame, table.box, table.level, table.linear, table.odds, tones, table.pixels.astype(np.int64))
    rows = zip(
        *(column.tolist() for column in columns), table.marks.kept.tolist(), table.level_cost.tolist(), strict=True
    )
    return tuple(
        Rendition(
            frame=frames[frame],
            crop=Box(*box),
            level=level,
            treatment=treatment,
            kind="largest" if linear == 1.0 else "tighter",
            odds=ScaleOdds(*odds),
            tone=_with_further(Look(*tone), frames[frame], pixels),
            width=pixels[0],
            height=pixels[1],
            kept=kept,
            level_cost=cost,
        )
        for frame, box, level, linear, odds, tone, pixels, kept, cost in rows
    )


def _with_further(tone: Look, frame: Frame, pixels: list[int]) -> Look:
    """Return a tone with the vignette and grain of a crop of so many pixels, as those of its frame make them.

    A falloff that grows with the square of the distance is less in a crop by the square of its diagonal; even noise is
    averaged less where fewer pixels become one of a small picture.
    """
    share = (pixels[0] ** 2 + pixels[1] ** 2) / (frame.width**2 + frame.height**2)
    averaged = max(1.0, max(frame.width, frame.height) / GRAIN_SIDE) / max(1.0, max(pixels) / GRAIN_SIDE)
    vignette, grain = frame.measures.tone.vignette * share, frame.measures.detail.grain * averaged
    return tone._replace(vignette=vignette, grain=grain)
