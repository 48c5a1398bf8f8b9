"""A catalog with what its user said learned: scales move the odds of frames that look alike, stars their appeal.

Each frame is taken by itself, and what all of them are needed for is kept: another word is learned from what is known.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from setsolver.catalog.metadata import said_scales
from setsolver.catalog.records import Groups, Pairs
from setsolver.domain.columns import SAID, Column, measured_or
from setsolver.domain.frame import Frame
from setsolver.domain.last import Last
from setsolver.domain.learned import Labels, LearnedFrames
from setsolver.domain.measures import SCALES
from setsolver.domain.problem import Floats
from setsolver.domain.snapshot import Snapshot
from setsolver.domain.turned import turned
from setsolver.features.corrections import places_of, refit_at
from setsolver.features.stars import looks_about, stars_at
from setsolver.usecases.regrouping import regrouped
from setsolver.usecases.twin_looks import twin_looks

__all__ = ["taught"]

T = TypeVar("T")
Said = Mapping[str, Mapping[str, str | None]]

_MOST_KEPT = 30_000
"""Frames up to which what only learning needs of all of them is kept, 7 KB each."""
_ODDS = Column(lambda frame: frame.measures.odds, width=3)
_EMBEDDINGS = Column(lambda frame: frame.measures.embedding, object)
_RATED = Column(lambda frame: np.nan if frame.measures.appeal is None else frame.measures.appeal.value)
_LOOKS = Column(lambda frame: None if frame.measures.clip is None else frame.measures.clip.embedding, object)
_TOLD = Column(lambda frame: frame.measures.appeal is not None and frame.measures.clip is not None, np.bool_)
_STARS = Column(measured_or(np.nan, lambda frame: frame.given_stars))
_places: Last[NDArray[np.float32]] = Last()
_about: Last[NDArray[np.float64]] = Last()
_moved: Last[Floats] = Last()


def taught(read: Snapshot) -> Snapshot:
    """Return a catalog as the index holds it with all that was said of its frames learned."""
    return _learned(read, tuple(read.frames), tuple(_with_said(frame) for frame in read.frames))


def _learned(
    read: Snapshot, bare: tuple[Frame, ...], said: tuple[Frame, ...], labels: Labels | None = None
) -> Snapshot:
    """Return the catalog.

    Parameters
    ----------
    bare : its frames as the index holds them. said : the same, each with its own words. labels : their groups where
        these are others by now than those that the frames were read with.
    """

    def resaid(more: Said) -> Snapshot:
        old, new = list(bare), list(said)
        at = {frame.path: place for place, frame in enumerate(bare)}
        for path, words in more.items():
            old[at[path]] = _said(bare[at[path]], words)
            new[at[path]] = _with_said(old[at[path]])
        return _learned(read, tuple(old), tuple(new), labels)

    def remeasured(again: Mapping[str, Frame], clocks: Mapping[str, str]) -> Snapshot:
        old, new, changed = list(bare), list(said), list[int]()
        for at, frame in enumerate(bare):
            if frame.path in again:
                shot = again[frame.path].shot
                old[at] = replace(again[frame.path], id=at, shot=frame.shot if frame.shot == shot else shot)
                new[at] = _with_said(old[at])
                changed.append(at)
        grouped, groups = _grouped(read, tuple(old), changed, clocks)
        return _learned(grouped, tuple(old), tuple(new), _kept_labels(labels, groups.labels))

    def turned_as(turns: Mapping[str, int | None]) -> Snapshot:
        old, new = list(bare), list(said)
        for at, frame in enumerate(bare):
            if frame.path in turns:
                old[at] = turned(frame, turns[frame.path])
                new[at] = _with_said(old[at])
        return _learned(read, tuple(old), tuple(new), labels)

    frames, looks = LearnedFrames(said, _odds(said), _appeal(said), labels), partial(twin_looks, said)
    return replace(read, frames=frames, signatures=looks, resaid=resaid, remeasured=remeasured, turned=turned_as)


def _grouped(
    read: Snapshot, frames: tuple[Frame, ...], changed: list[int], clocks: Mapping[str, str]
) -> tuple[Snapshot, Groups]:
    """Return a catalog of which some frames were measured again with its near-duplicates, and its groups."""
    first, second = np.array(read.pairs, dtype=np.int64).reshape(-1, 2).T
    same = Pairs(first, second, tuple(np.array(one, dtype=np.int64) for one in read.series))
    groups = regrouped(frames, np.array(changed, dtype=np.int64), same, clocks)
    pairs = tuple(zip(groups.same.first.tolist(), groups.same.second.tolist(), strict=True))
    series = tuple(tuple(one.tolist()) for one in groups.same.series)
    return replace(read, pairs=read.pairs if pairs == read.pairs else pairs, series=series), groups


def _kept_labels(old: Labels | None, new: NDArray[np.int64]) -> Labels:
    """Return new labels, the very same arrays as before where they are the same."""
    moment, scene, chapter = (np.ascontiguousarray(column) for column in new.T)
    if old is None:
        return moment, scene, chapter
    kept = (was if np.array_equal(was, now) else now for was, now in zip(old, (moment, scene, chapter), strict=True))
    return next(kept), next(kept), next(kept)


def _said(frame: Frame, said: Mapping[str, str | None]) -> Frame:
    """Return a frame with more said of it, as the index would hold it."""
    stars = said.get("stars")
    return replace(
        frame,
        said=said.get("scale", frame.said),
        stars=frame.stars if "stars" not in said else None if stars is None else float(stars),
        said_kind=said.get("kind", frame.said_kind),
    )


def _with_said(frame: Frame) -> Frame:
    """Let a keyword say the scale where the user said nothing else; keywords that say several scales say none."""
    if frame.said is not None:
        return frame
    scales = said_scales(frame.shot.keywords, SCALES)
    if len(scales) > 1:
        words = " and ".join(f"scale:{scale}" for scale in scales)
        note = f"its keywords contradict each other ({words}) and count for nothing"
        return replace(frame, note="; ".join(filter(None, (frame.note, note))))
    return replace(frame, said=scales[0]) if scales else frame


def _odds(frames: tuple[Frame, ...]) -> Floats | None:
    """Return the odds of all frames after the user's words about some, [F, 3]; None where nothing was said."""
    said = SAID.of(frames)
    if not (said >= 0).any():
        return None
    embeddings = _EMBEDDINGS.of(frames)
    places = _kept(_places, (embeddings,), lambda: places_of(np.stack(embeddings.tolist())))
    return refit_at(_ODDS.of(frames), places, said)


def _appeal(frames: tuple[Frame, ...]) -> Floats | None:
    """Return the appeal of all frames after the user's stars, [F], NaN where there is none; None without stars."""
    appeal, looks = _RATED.of(frames), _LOOKS.of(frames)
    whose = _TOLD.of(frames)
    told = np.flatnonzero(whose)
    stars = _STARS.of(frames)[told]
    if np.isnan(stars).all():
        return None
    rows = _kept(_about, (looks, whose), lambda: looks_about(np.stack(looks[told].tolist())))

    def moved() -> Floats:
        all_ = appeal.copy()
        all_[told] = stars_at(appeal[told], rows, stars)
        return all_

    return _moved.of((appeal, whose, looks, _STARS.of(frames)), moved)


def _kept(last: Last[T], columns: tuple[NDArray[Any], ...], make: Callable[[], T]) -> T:
    return last.of(columns, make) if len(columns[0]) <= _MOST_KEPT else make()
