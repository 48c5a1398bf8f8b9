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
from setsolver.domain.columns import SAID, Column, measured_or
from setsolver.domain.frame import Frame
from setsolver.domain.last import Last
from setsolver.domain.learned import LearnedFrames
from setsolver.domain.measures import SCALES
from setsolver.domain.problem import Floats
from setsolver.domain.snapshot import Snapshot
from setsolver.features.corrections import places_of, refit_at
from setsolver.features.stars import looks_about, stars_at
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


def taught(read: Snapshot) -> Snapshot:
    """Return a catalog as the index holds it with all that was said of its frames learned."""
    return _learned(read, tuple(read.frames), tuple(_with_said(frame) for frame in read.frames))


def _learned(read: Snapshot, bare: tuple[Frame, ...], said: tuple[Frame, ...]) -> Snapshot:
    """Return the catalog. bare : its frames as the index holds them. said : the same, each with its own words."""
    frames = LearnedFrames(said, _odds(said), _appeal(said))

    def resaid(more: Said) -> Snapshot:
        old, new = list(bare), list(said)
        at = {frame.path: place for place, frame in enumerate(bare)}
        for path, words in more.items():
            old[at[path]] = _said(bare[at[path]], words)
            new[at[path]] = _with_said(old[at[path]])
        return _learned(read, tuple(old), tuple(new))

    return replace(read, frames=frames, signatures=partial(twin_looks, said), resaid=resaid)


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
    moved = appeal.copy()
    moved[told] = stars_at(appeal[told], rows, stars)
    return moved


def _kept(last: Last[T], columns: tuple[NDArray[Any], ...], make: Callable[[], T]) -> T:
    return last.of(columns, make) if len(columns[0]) <= _MOST_KEPT else make()
