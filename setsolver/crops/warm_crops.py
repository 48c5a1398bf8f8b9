"""Crops of a catalog that changes: only frames that would be cut otherwise are cut again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from operator import is_not
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from setsolver.crops.framing import Framing
from setsolver.crops.odds import odds_of_crops
from setsolver.crops.renditions import DETAIL_SURE, CropTable, cut_all, detail_decides
from setsolver.crops.straightening import trusted
from setsolver.domain.columns import Column, measured_or, odds_of
from setsolver.domain.cut import Cut
from setsolver.domain.frame import Frame
from setsolver.domain.last import Kept, worth_keeping
from setsolver.domain.learned import as_read
from setsolver.domain.problem import Floats, Ints

__all__ = ["cut_crops"]

_MOST_ANEW = 0.25
"""Share of frames that are cut otherwise from which all are cut again."""
_TILT = Column(measured_or(np.nan, lambda frame: frame.measures.tilt.degrees))
_TILT_SURE = Column(measured_or(np.nan, lambda frame: frame.measures.tilt.confidence))
_SUBJECT_SURE = Column(lambda frame: frame.measures.subject.confidence)
_INNER = Column(lambda frame: frame.measures.inner_odds, width=3)


class _Cut(NamedTuple):
    """frames : as read. odds : [F, 3]. table : of all crops tried."""

    frames: Sequence[Frame]
    odds: Floats
    cuts: tuple[Cut, ...]
    table: CropTable


_kept: Kept[_Cut] = Kept()


def cut_crops(frames: Sequence[Frame], cuts: Iterable[Cut | float]) -> CropTable:
    """Return every crop tried, as ``cut_all``; half a second at 5,000 frames, less where most were cut before.

    Tables are never changed, only taken from.

    Parameters
    ----------
    cuts : each once, at least one; a number is the aspect, width over height, of a crop that is seen whole.
    """
    wanted = tuple(cut if isinstance(cut, Cut) else Cut(cut) for cut in cuts)
    read, odds, last = as_read(frames), odds_of(frames), _kept.last  # read once: another thread may keep another
    table = None
    if last is not None and last.cuts == wanted and len(last.frames) == len(read):
        table = _recut(last, frames, odds)
    if table is None:
        table = cut_all(frames, wanted)
    if last is None or worth_keeping(len(read), len(last.frames)):
        _kept.last = _Cut(read, odds, wanted, table)
    return table


def _recut(last: _Cut, frames: Sequence[Frame], odds: Floats) -> CropTable | None:
    """Return the table with the rows of some frames cut anew, None where these are many."""
    read, table = as_read(frames), last.table
    level = _trusted(frames, odds)
    changed = (odds[:, 2] >= DETAIL_SURE) != (last.odds[:, 2] >= DETAIL_SURE)
    changed &= level | _by_detail(frames, table)
    changed |= level != _trusted(frames, last.odds)
    if read is not last.frames:
        for at in np.flatnonzero(np.fromiter(map(is_not, read, last.frames), np.bool_, len(read))).tolist():
            changed[at] |= not _cut_alike(read[at], last.frames[at])
    if changed.sum() > _MOST_ANEW * len(read):
        return None
    others = np.flatnonzero(changed)
    if len(others):
        few = cut_all([frames[at] for at in others.tolist()], last.cuts)
        table = _with(table, (np.arange(0, len(table.frame), len(read))[:, None] + others).ravel(), few)
    if odds is last.odds:
        return table
    return replace(table, odds=odds_of_crops(odds[table.frame], _INNER.of(frames)[table.frame], table.box))


def _trusted(frames: Sequence[Frame], odds: Floats) -> NDArray[np.bool_]:
    """Return which frames [F] are levelled, as far as odds decide about it."""
    return trusted(_TILT.of(frames), _TILT_SURE.of(frames), odds[:, 2])


def _by_detail(frames: Sequence[Frame], table: CropTable) -> NDArray[np.bool_]:
    """Return for which frames [F] that stay as they stand it matters to some crop whether they are details."""
    decides = np.zeros(len(frames), np.bool_)
    decides[table.frame[detail_decides(table.marks, _SUBJECT_SURE.of(frames)[table.frame])]] = True
    return decides


def _cut_alike(one: Frame, other: Frame) -> bool:
    """Tell whether two frames are cut alike but for their odds: all else that crops are made of is the very same."""
    m, n = one.measures, other.measures
    return (
        m.subject is n.subject
        and m.tilt is n.tilt
        and m.faces is n.faces
        and m.figures is n.figures
        and m.crop_map is n.crop_map
        and m.inner_odds == n.inner_odds
        and (one.width, one.height) == (other.width, other.height)
    )


def _with(table: CropTable, rows: Ints, few: CropTable) -> CropTable:
    """Return the table with the crops of some rows in place of those there."""
    names = [name for name in CropTable.__dataclass_fields__ if name not in ("frame", "marks")]
    columns = {name: _put(getattr(table, name), rows, getattr(few, name)) for name in names}
    marks = (_put(mark, rows, new) for mark, new in zip(table.marks, few.marks, strict=True))
    return CropTable(frame=table.frame, **columns, marks=Framing(*marks))


def _put(column: np.ndarray, rows: Ints, values: np.ndarray) -> np.ndarray:
    whole = column.copy()
    whole[rows] = values
    return whole
