"""A catalog as rules see it, from its index."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from setsolver.catalog.paths import to_text
from setsolver.domain.frame import Frame
from setsolver.domain.measures import Tilt
from setsolver.domain.snapshot import Snapshot
from setsolver.errors import BadInput
from setsolver.features.distance import framed_metres, with_framed_width
from setsolver.usecases.grouping import regroup
from setsolver.usecases.index import open_index
from setsolver.usecases.taught import taught

__all__ = ["scanned", "snapshot", "with_what_is_told"]


def snapshot(folder: Path) -> Snapshot:
    """Return what the index of a folder holds; nothing is measured.

    A scale said by a keyword (``scale:close``) counts as the user's own unless a correction says otherwise. What is
    said of some frames also moves the odds of those that look like them. Keywords that say several scales say none.
    Stars move the appeal of their frames and of those that look like them.
    """
    with open_index(folder) as store:
        regroup(store, lambda *_: None)  # due only where a scan was killed after its last batch
        frames = tuple(with_what_is_told(frame) for frame in store.frames())
        return taught(Snapshot(_name_of(folder), frames, store.pairs(), store.refused(), store.series()))


def scanned(folder: Path) -> Snapshot:
    """Return ``snapshot`` of a folder, for what does not scan it first.

    Raises
    ------
    BadInput
        Where its index has frames, but none that this version reads.
    """
    found = snapshot(folder)
    if not found.frames:
        with open_index(folder) as store:
            if store.paths():
                raise BadInput(
                    f"the index of {found.folder} was written by another version of setsolver; "
                    f"run `setsolver scan {found.folder}`, then this again"
                )
    return found


def _name_of(folder: Path) -> str:
    """Return a folder as it was given; where that ends in no name, such as ".", its whole path.

    What says "." would speak of whatever folder it is read in.
    """
    return to_text(str(folder if folder.name not in {"", ".."} else folder.resolve()))


def with_what_is_told(frame: Frame) -> Frame:
    """Return a frame of an index with what its metadata and its uprightness say beside its measures."""
    return _with_optics(_as_it_lies(frame))


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
