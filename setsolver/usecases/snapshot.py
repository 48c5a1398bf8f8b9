"""A catalog as rules see it, from its index."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from setsolver.catalog.metadata import said_scale
from setsolver.catalog.place import index_file
from setsolver.catalog.store import Store
from setsolver.domain.frame import Frame
from setsolver.domain.measures import SCALES
from setsolver.domain.snapshot import Snapshot
from setsolver.usecases.grouping import regroup
from setsolver.usecases.scan import MEASURE_VERSION

__all__ = ["snapshot"]


def snapshot(folder: Path) -> Snapshot:
    """Return what the index of a folder holds; nothing is measured.

    A scale said by a keyword (``scale:close``) counts as the user's own unless a correction says otherwise.
    """
    with Store(index_file(folder), MEASURE_VERSION) as store:
        regroup(store, lambda *_: None)  # due only where a scan was killed after its last batch
        frames = tuple(_with_said(frame) for frame in store.frames())
        return Snapshot(str(folder), frames, store.pairs(), store.refused())


def _with_said(frame: Frame) -> Frame:
    said = frame.said or said_scale(frame.shot.keywords, SCALES)
    return replace(frame, said=said) if said != frame.said else frame
