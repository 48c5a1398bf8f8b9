"""Folders whose index holds made-up measures: links to one photograph, with looks drawn at random."""

import os
import shutil
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from setsolver.catalog.listing import listing
from setsolver.catalog.records import Known, Measured
from setsolver.domain.measures import CLIP_SIZE, Appeal, Clip
from setsolver.usecases.index import open_index
from setsolver.usecases.tasks import VERSION

__all__ = ["fill"]

PHOTOGRAPH = Path(__file__).parents[2] / "demo_catalog/1-morning/0001.jpg"


def fill(folder, snapshot, photograph=PHOTOGRAPH):
    """Write the frames of a snapshot into the index of an empty folder; stars for one frame in 50."""
    rng = np.random.default_rng(0)
    first = Path(folder) / snapshot.frames[0].path
    shutil.copyfile(photograph, first)
    for frame in snapshot.frames[1:]:
        os.link(first, Path(folder) / frame.path)
    listed = {one.path: one for one in listing(Path(folder)).frames}
    with open_index(Path(folder)) as store:
        store.write([_measured(frame, listed[frame.path], rng) for frame in snapshot.frames], [])
    return folder


def _measured(frame, listed, rng):
    looks = (rng.normal(size=size).astype(np.float16) for size in (CLIP_SIZE[0], CLIP_SIZE[1], CLIP_SIZE[1]))
    measures = replace(frame.measures, clip=Clip(*looks), appeal=Appeal(float(rng.uniform(1, 5)), 0.5))
    rating = frame.shot.rating if frame.id % 50 == 0 else None
    time = datetime(2026, 5, 2) + timedelta(minutes=3 * frame.id)  # noqa: DTZ001 - capture times are naive local times
    shot = replace(frame.shot, rating=rating, time=time)
    known = Known(listed.size, listed.mtime_ns, listed.stamp, VERSION, digest=b"made up %d" % frame.id)
    return Measured(frame.path, known, frame.width, frame.height, shot, "", measures)
