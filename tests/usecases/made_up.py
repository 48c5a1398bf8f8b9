"""Folders whose index holds made-up measures: links to one photograph, with looks drawn at random.

As in a shoot, frames of a scene look alike, those of a burst more so; a burst takes seconds, and nights part the days.
"""

import os
import shutil
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from setsolver.catalog.listing import listing
from setsolver.catalog.reader import content_hash
from setsolver.catalog.records import Known, Measured
from setsolver.domain.measures import CLIP_SIZE, EMBEDDING_SIZE, Appeal, Clip, ScaleOdds, Tilt
from setsolver.usecases.index import open_index
from setsolver.usecases.tasks import EVERYTHING, VERSION
from tests.catalog.pictures import save, scene
from tests.rules.builders import make_frame

__all__ = ["copied", "fill", "measurer"]

A_DAY, A_SCENE, A_BURST = 600, 9, 3
"""Frames of each."""
PHOTOGRAPH = Path(__file__).parents[2] / "demo_catalog/1-morning/0001.jpg"


def fill(folder, snapshot, *, distinct=False):
    """Write the frames of a snapshot into the index of an empty folder; stars for one frame in 50.

    distinct : each is a small picture of its own, not a link to one photograph.
    """
    rng = np.random.default_rng(0)
    first = Path(folder) / snapshot.frames[0].path
    shutil.copyfile(PHOTOGRAPH, first)
    for frame in snapshot.frames[1:]:
        os.link(first, Path(folder) / frame.path)
    for frame in snapshot.frames if distinct else ():
        (Path(folder) / frame.path).unlink()
        save(Path(folder) / frame.path, scene(60, 40, seed=frame.id))
    listed = {one.path: one for one in listing(Path(folder)).frames}
    digests = {path: content_hash(one.file) for path, one in listed.items()} if distinct else {}
    same = b"" if distinct else content_hash(first)
    with open_index(Path(folder)) as store:
        rows = [_measured(frame, listed[frame.path], digests.get(frame.path, same), rng) for frame in snapshot.frames]
        store.write(rows, [])
    return folder


def copied(folder, to):
    """Return a copy of such a folder with an index of its own; photographs are linked."""

    def copy(one, other):
        return (os.link if Path(one).suffix == ".jpg" else shutil.copy2)(one, other)

    return shutil.copytree(folder, to, copy_function=copy)


def measurer():
    """Return a measuring that finds of a picture what is drawn at random by its pixels, the same at every look."""
    return _measure


def _measure(rgb, known=None, due=EVERYTHING):
    rng = np.random.default_rng([*np.asarray(rgb[0, :8].ravel(), np.int64).tolist(), *rgb.shape])
    scale = ScaleOdds(*rng.dirichlet([1, 1, 1]))
    tilt, look = Tilt(float(rng.uniform(-3, 3)), 0.8, None), (5.0, float(rng.uniform(30, 60)), 90.0, 0.0, 0.0)
    frame = make_frame(0, scale, tilt=tilt, look=look)
    looks = (rng.normal(size=size).astype(np.float16) for size in (CLIP_SIZE[0], CLIP_SIZE[1], CLIP_SIZE[1]))
    return replace(
        frame.measures,
        clip=Clip(*looks),
        appeal=Appeal(float(rng.uniform(1, 5)), 0.5),
        embedding=np.abs(rng.normal(size=EMBEDDING_SIZE)).astype(np.float16),
        phash=np.uint64(rng.integers(0, 2**63)),
        quality=float(rng.uniform(0.3, 1)),
    )


def _measured(frame, listed, digest, rng):
    looks = (_look(frame.id, size, of, rng) for of, size in enumerate((CLIP_SIZE[0], CLIP_SIZE[1], CLIP_SIZE[1])))
    measures = replace(
        frame.measures,
        clip=Clip(*looks),
        appeal=Appeal(float(rng.uniform(1, 5)), 0.5),
        embedding=np.abs(_look(frame.id, EMBEDDING_SIZE, 3, rng)),
    )
    rating = frame.shot.rating if frame.id % 50 == 0 else None
    day, of_day = divmod(frame.id, A_DAY)
    burst, of_burst = divmod(of_day, A_BURST)
    past = timedelta(days=day, minutes=3 * burst, seconds=0.7 * of_burst)
    time = datetime(2026, 5, 2, 7) + past  # noqa: DTZ001 - capture times are naive local times
    shot = replace(frame.shot, rating=rating, time=time)
    known = Known(listed.size, listed.mtime_ns, listed.stamp, VERSION, digest=digest)
    return Measured(frame.path, known, frame.width, frame.height, shot, "", measures)


def _look(number, size, of, rng):
    """Return an embedding: half of its variance is the scene's, a quarter the burst's, a quarter the frame's own."""
    scene_, burst = (
        np.random.default_rng([of, every, number // every]).normal(size=size) for every in (A_SCENE, A_BURST)
    )
    return (0.7 * scene_ + 0.5 * burst + 0.5 * rng.normal(size=size)).astype(np.float16)
