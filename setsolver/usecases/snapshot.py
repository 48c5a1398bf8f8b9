"""A catalog as rules see it, from its index."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from setsolver.catalog.metadata import said_scales
from setsolver.catalog.paths import to_text
from setsolver.domain.frame import Frame
from setsolver.domain.last import Last
from setsolver.domain.measures import SCALES, ScaleOdds, Tilt
from setsolver.domain.snapshot import Snapshot
from setsolver.features.corrections import refit
from setsolver.features.distance import framed_metres, with_framed_width
from setsolver.features.stars import with_stars
from setsolver.features.twins import twin_signatures
from setsolver.usecases.grouping import regroup
from setsolver.usecases.index import open_index

__all__ = ["snapshot"]


def snapshot(folder: Path) -> Snapshot:
    """Return what the index of a folder holds; nothing is measured.

    A scale said by a keyword (``scale:close``) counts as the user's own unless a correction says otherwise. What is
    said of some frames also moves the odds of those that look like them. Keywords that say several scales say none.
    Stars move the appeal of their frames and of those that look like them.
    """
    with open_index(folder) as store:
        regroup(store, lambda *_: None)  # due only where a scan was killed after its last batch
        frames = tuple(_with_optics(_as_it_lies(frame)) for frame in store.frames())
        name = to_text(str(folder))
        return _told(Snapshot(name, frames, store.pairs(), store.refused(), store.series()))


def _told(read: Snapshot) -> Snapshot:
    """Return a catalog as read with all that was said of its frames learned."""
    frames = tuple(_with_appeal(_learned([_with_said(frame) for frame in read.frames])))
    return replace(
        read, frames=frames, signatures=partial(_signatures, frames), resaid=lambda said: _told(_resaid(read, said))
    )


def _resaid(read: Snapshot, said: Mapping[str, Mapping[str, str | None]]) -> Snapshot:
    """Return a catalog as read with more said of some frames, as the index would hold it."""
    frames = [_said(frame, said[frame.path]) if frame.path in said else frame for frame in read.frames]
    return replace(read, frames=tuple(frames))


def _said(frame: Frame, said: Mapping[str, str | None]) -> Frame:
    stars = said.get("stars")
    return replace(
        frame,
        said=said.get("scale", frame.said),
        stars=frame.stars if "stars" not in said else None if stars is None else float(stars),
        said_kind=said.get("kind", frame.said_kind),
    )


def _signatures(frames: tuple[Frame, ...]) -> tuple[NDArray[np.int64], NDArray[np.float32]]:
    """Return ids and signatures of the frames that CLIP has seen."""
    parts = [part for frame in frames for part in (frame.measures.embedding, frame.measures.clip)]
    return _seen.of(parts, lambda: _signed(frames))


_seen: Last[tuple[NDArray[np.int64], NDArray[np.float32]]] = Last()


def _signed(frames: tuple[Frame, ...]) -> tuple[NDArray[np.int64], NDArray[np.float32]]:
    clips = {frame.id: frame.measures.clip.embedding for frame in frames if frame.measures.clip is not None}
    if not clips:
        return np.zeros(0, np.int64), np.zeros((0, 1), np.float32)
    embeddings = np.stack([frame.measures.embedding for frame in frames if frame.id in clips])
    return np.array(list(clips), np.int64), twin_signatures(embeddings, np.stack(list(clips.values())))


def _as_it_lies(frame: Frame) -> Frame:
    """Say of a frame on its side or head what to do about it, and nothing of its tilt."""
    if not frame.upright:
        return frame
    lies = "stands on its head" if frame.upright == 180 else "lies on its side"
    note = f"it seems that it {lies}: --set it to turn={frame.upright}, or to turn=0 if it is right as it is"
    measures = replace(frame.measures, tilt=Tilt(None, 0.0, None))
    return replace(frame, measures=measures, note="; ".join(filter(None, (frame.note, note))))


def _with_optics(frame: Frame) -> Frame:
    """Let a recorded focus distance speak to the scale of the frame and of its inner view, which spans half of it."""
    metres = framed_metres(frame.shot.distance_m, frame.shot.focal35_mm)
    if metres is None:
        return frame
    measures = replace(
        frame.measures,
        odds=with_framed_width(frame.measures.odds, metres),
        inner_odds=with_framed_width(frame.measures.inner_odds, metres * frame.measures.inner.w),
    )
    return replace(frame, measures=measures)


def _with_said(frame: Frame) -> Frame:
    if frame.said is not None:
        return frame
    scales = said_scales(frame.shot.keywords, SCALES)
    if len(scales) > 1:
        words = " and ".join(f"scale:{scale}" for scale in scales)
        note = f"its keywords contradict each other ({words}) and count for nothing"
        return replace(frame, note="; ".join(filter(None, (frame.note, note))))
    return replace(frame, said=scales[0]) if scales else frame


def _learned(frames: list[Frame]) -> list[Frame]:
    """Return the frames with measured odds as they are after the user's own words."""
    said = np.array([-1 if frame.said is None else SCALES.index(frame.said) for frame in frames], dtype=np.int64)
    if not (said >= 0).any():
        return frames
    parts = [part for frame in frames for part in (frame.measures.odds, frame.measures.embedding, frame.said)]
    moved = _refitted.of(parts, lambda: _refit(frames, said))  # stars leave it as it is
    return [
        replace(frame, measures=replace(frame.measures, odds=row)) for frame, row in zip(frames, moved, strict=True)
    ]


_refitted: Last[list[ScaleOdds]] = Last()


def _refit(frames: list[Frame], said: NDArray[np.int64]) -> list[ScaleOdds]:
    odds = np.array([frame.measures.odds for frame in frames], dtype=np.float64)
    embeddings = np.stack([frame.measures.embedding for frame in frames])
    return [ScaleOdds(*row) for row in refit(odds, embeddings, said).tolist()]


def _with_appeal(frames: list[Frame]) -> list[Frame]:
    """Return the frames with appeal as it is after the user's stars."""
    told = [frame for frame in frames if frame.measures.appeal is not None and frame.measures.clip is not None]
    stars = np.array([np.nan if frame.given_stars is None else frame.given_stars for frame in told], np.float64)
    if np.isnan(stars).all():
        return frames
    values = np.array([frame.measures.appeal.value for frame in told if frame.measures.appeal])
    looks = np.stack([frame.measures.clip.embedding for frame in told if frame.measures.clip])
    moved = dict(zip((frame.id for frame in told), with_stars(values, looks, stars).tolist(), strict=True))
    return [_at(frame, moved[frame.id]) if frame.id in moved else frame for frame in frames]


def _at(frame: Frame, value: float) -> Frame:
    appeal = frame.measures.appeal
    return replace(frame, measures=replace(frame.measures, appeal=appeal and appeal._replace(value=value)))
