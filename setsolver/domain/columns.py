"""What rules read of every frame, as columns: read again only of the frames that are others than before."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from operator import is_, is_not
from typing import Any

import numpy as np
from numpy.typing import DTypeLike, NDArray

from setsolver.domain.frame import Frame
from setsolver.domain.last import Recent, at_hand, remembered, worth_keeping
from setsolver.domain.learned import Labels, LearnedFrames, as_read
from setsolver.domain.measures import SCALES
from setsolver.domain.problem import Floats, Ints

__all__ = [
    "SAID",
    "Column",
    "appeal_of",
    "chapters_of",
    "known_or_mean",
    "measured_or",
    "moments_of",
    "odds_of",
    "paths_of",
    "scenes_of",
]


class Column:
    """One thing that is read of each frame, kept for the next question.

    Where it reads the same of the frames that changed, the very same array is returned, so that what is made of it
    (``Last``) stays. Arrays are never changed. A frame's odds, appeal and groups follow from other frames, too: those
    are read by ``odds_of``, ``appeal_of``, ``moments_of`` and ``scenes_of``, and by nothing else.

    Parameters
    ----------
    read : returns a value of one frame, which depends on nothing but that frame. dtype : of the values.
    width : numbers a value, 0 for one number or one object.
    """

    def __init__(self, read: Callable[[Frame], Any], dtype: DTypeLike = np.float64, width: int = 0) -> None:
        self._read, self._dtype, self._width = read, np.dtype(dtype), width
        self._held: tuple[tuple[Sequence[Frame], NDArray[Any]], ...] = ()
        remembered(self)

    def forget(self) -> None:
        """Let go of the column."""
        self._held = ()

    def of(self, frames: Sequence[Frame]) -> NDArray[Any]:
        """Return the column of frames, in their order: [F], or [F, width]."""
        frames, held = as_read(frames), self._held  # read once: another thread may keep another meanwhile
        if held and held[0][0] is frames:
            return held[0][1]
        values = next((column for known, column in held if known is frames), None)
        values = self._patched(frames, held) if values is None else values
        values.setflags(write=False)
        if not held or worth_keeping(len(frames), len(held[0][0])):
            self._held = ((frames, values), *(one for one in held if one[1] is not values))[: at_hand(len(frames))]
        return values

    def _patched(self, frames: Sequence[Frame], held: tuple[tuple[Sequence[Frame], NDArray[Any]], ...]) -> NDArray[Any]:
        """Return a column with the frames read that are others now: the last one, or one before it, where it serves."""
        whole = None
        for known, column in held:
            if len(known) != len(frames):
                continue
            others = _others(frames, known)
            values = self._values([frames[at] for at in others.tolist()])
            if self._same(values, column[others]):
                return column
            if whole is None:
                whole = column.copy()
                whole[others] = values
        return self._values(frames) if whole is None else whole

    def _values(self, frames: Sequence[Frame]) -> NDArray[Any]:
        found = [self._read(frame) for frame in frames]
        if self._dtype.kind == "O":
            values = np.empty(len(found), dtype=object)
            for at, value in enumerate(found):  # an array among them must not be taken apart
                values[at] = value
            return values
        return np.array(found, dtype=self._dtype).reshape((len(found), self._width) if self._width else len(found))

    def _same(self, one: NDArray[Any], other: NDArray[Any]) -> bool:
        if self._dtype.kind == "O":
            return all(map(is_, one.tolist(), other.tolist()))
        return np.array_equal(one, other, equal_nan=self._dtype.kind == "f")


def measured_or(nothing: float, read: Callable[[Frame], float | None]) -> Callable[[Frame], float]:
    """Return a reader that gives a number where another one gives None."""

    def value(frame: Frame) -> float:
        found = read(frame)
        return nothing if found is None else found

    return value


def known_or_mean(values: Floats, none_known: float) -> Floats:
    """Return numbers [n] in which the mean of the known stands for each that is NaN, ``none_known`` where all are."""
    unknown = np.isnan(values)
    known = values[~unknown]
    return np.where(unknown, known.mean() if len(known) else none_known, values)


_compared: Recent[tuple[Sequence[Frame], Sequence[Frame], Ints]] = Recent()


def _others(frames: Sequence[Frame], known: Sequence[Frame]) -> Ints:
    """Return the places at which two looks at a catalog have other frames: found once for all columns."""
    found = _compared.find(lambda one: one[0] is frames and one[1] is known)
    if found is None:
        others = np.flatnonzero(np.fromiter(map(is_not, frames, known), np.bool_, len(frames)))
        found = frames, known, others
        _compared.put(found, len(frames))
    return found[2]


_PATHS = Column(lambda frame: frame.path, object)
_ODDS = Column(lambda frame: frame.odds, width=3)
SAID = Column(lambda frame: -1 if frame.said is None else SCALES.index(frame.said), np.int64)
"""Which of ``SCALES`` the user said that it is, -1 where nothing was said."""
_MOMENTS = Column(lambda frame: frame.moment, np.int64)
_SCENES = Column(lambda frame: frame.scene, np.int64)
_CHAPTERS = Column(lambda frame: frame.chapter, np.int64)
_APPEAL = Column(lambda frame: np.nan if frame.measures.appeal is None else frame.measures.appeal.value)


def paths_of(frames: Sequence[Frame]) -> list[str]:
    """Return the paths of frames."""
    return list(_PATHS.of(frames))


def odds_of(frames: Sequence[Frame]) -> Floats:
    """Return the odds of shot scales of frames, [F, 3], as ``Frame.odds``: learned, and the user's word in full."""
    odds = _ODDS.of(frames)
    if not isinstance(frames, LearnedFrames) or frames.odds is None:
        return odds
    return np.where(SAID.of(frames)[:, None] >= 0, odds, frames.odds)


def moments_of(frames: Sequence[Frame]) -> Ints:
    """Return the moments of frames, [F], below 0 where a frame is in none."""
    labels = _labels(frames)
    return _MOMENTS.of(frames) if labels is None else labels[0]


def scenes_of(frames: Sequence[Frame]) -> Ints:
    """Return the scenes of frames, [F], as ``moments_of``."""
    labels = _labels(frames)
    return _SCENES.of(frames) if labels is None else labels[1]


def chapters_of(frames: Sequence[Frame]) -> Ints:
    """Return the chapters of frames, [F], as ``moments_of``."""
    labels = _labels(frames)
    return _CHAPTERS.of(frames) if labels is None else labels[2]


def _labels(frames: Sequence[Frame]) -> Labels | None:
    return frames.labels if isinstance(frames, LearnedFrames) else None


def appeal_of(frames: Sequence[Frame]) -> Floats:
    """Return the appeal of frames, [F], 1 to 5, learned from stars; NaN where a frame has none yet."""
    if isinstance(frames, LearnedFrames) and frames.appeal is not None:
        return frames.appeal
    return _APPEAL.of(frames)
