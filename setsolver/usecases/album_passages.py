"""The order of a book: each frame's place in it, its chapters, and the passages from which spreads are told."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from setsolver.errors import NoSet
from setsolver.rules.words import count

if TYPE_CHECKING:
    from setsolver.domain.album_wish import AlbumWish
    from setsolver.domain.frame import Frame
    from setsolver.domain.problem import Ints
    from setsolver.domain.snapshot import Snapshot

__all__ = ["chapters_in", "passages_in", "ranks_of"]

TIMED = 0.7
"""Share of frames that need a time for an order of time."""
LEAST_MOMENTS = 4
"""Moments that a passage has at least: fewer leave a spread no choice."""


def ranks_of(snapshot: Snapshot, wish: AlbumWish) -> tuple[Ints, tuple[str, ...]]:
    """Return each frame's place in the book's order, by id; one without a time follows the one before it by name."""
    frames = snapshot.frames
    if wish.order == "name":
        return np.arange(len(frames)), ()
    times = np.array([np.nan if f.shot.day_or_instant is None else f.shot.day_or_instant for f in frames], dtype=float)
    missing = int(np.isnan(times).sum())
    if missing > (1 - TIMED) * len(frames):
        raise NoSet(
            f"{count(missing, 'frame')} of {len(frames)} have no time, and an album follows the order of time; write "
            'order = "name" under [album] to follow the order of their names, or bring the times back into the files'
        )
    known = np.where(np.isnan(times), -1, np.arange(len(times)))
    before = np.maximum.accumulate(known)
    first = times[~np.isnan(times)][:1]
    filled = np.where(before >= 0, times[np.maximum(before, 0)], first)
    order = np.lexsort((np.arange(len(frames)), filled))
    rank = np.empty(len(frames), dtype=np.int64)
    rank[order] = np.arange(len(frames))
    says = (f"{count(missing, 'frame')} without a time follow the one before by name",) if missing else ()
    return rank, says


def chapters_in(snapshot: Snapshot, rank: Ints, usable: Ints, most: int) -> tuple[tuple[int, ...], ...]:
    """Return the usable frames of each chapter in order; neighbours that follow each other soonest are joined."""
    frames = snapshot.frames
    order = usable[np.argsort(rank[usable])]
    runs: list[list[int]] = []
    for frame in order.tolist():
        if runs and frames[frame].chapter == frames[runs[-1][-1]].chapter:
            runs[-1].append(frame)
        else:
            runs.append([frame])
    while len(runs) > most:
        breaks = [_apart(frames, a[-1], b[0]) for a, b in pairwise(runs)]
        at = min(range(len(breaks)), key=lambda n: (breaks[n], len(runs[n]) + len(runs[n + 1])))
        runs[at : at + 2] = [runs[at] + runs[at + 1]]
    return tuple(tuple(run) for run in runs)


def _apart(frames: Sequence[Frame], a: int, b: int) -> float:
    one, two = frames[a].shot.day_or_instant, frames[b].shot.day_or_instant
    return 0.0 if one is None or two is None else two - one


def passages_in(snapshot: Snapshot, chapters: Sequence[Sequence[int]], spreads: int) -> tuple[Ints, Ints]:
    """Return the passage of each frame, by id, -1 = none, and the chapter of each passage.

    A passage is a run of scenes with about as many moments as a spread's share of the book; a scene with twice as many
    is parted where its time stands still longest.
    """
    frames = snapshot.frames
    moments = len({frames[frame].moment for chapter in chapters for frame in chapter})
    share = max(LEAST_MOMENTS, moments // max(1, spreads))
    passage = np.full(len(frames), -1, dtype=np.int64)
    of: list[int] = []
    for number, chapter in enumerate(chapters):
        for run in _runs(frames, chapter, share):
            passage[list(run)] = len(of)
            of.append(number)
    return passage, np.array(of, dtype=np.int64)


def _runs(frames: Sequence[Frame], chapter: Sequence[int], share: int) -> list[list[int]]:
    scenes: list[list[int]] = []
    for frame in chapter:
        if scenes and frames[frame].scene == frames[scenes[-1][-1]].scene:
            scenes[-1].append(frame)
        else:
            scenes.append([frame])
    parts = [part for scene in scenes for part in _parted(frames, scene, 2 * share)]
    runs: list[list[int]] = []
    for part in parts:
        if runs and _moments(frames, runs[-1]) < share:
            runs[-1].extend(part)
        else:
            runs.append(list(part))
    if len(runs) > 1 and _moments(frames, runs[-1]) < share:
        runs[-2:] = [runs[-2] + runs[-1]]
    return runs


def _parted(frames: Sequence[Frame], scene: list[int], most: int) -> list[list[int]]:
    if _moments(frames, scene) <= most:
        return [scene]
    low, high = len(scene) // 4, max(len(scene) // 4 + 1, 3 * len(scene) // 4)
    gaps = [_apart(frames, scene[n - 1], scene[n]) for n in range(max(1, low), high)]
    middle = len(scene) / 2
    at = max(1, low) + max(range(len(gaps)), key=lambda n: (gaps[n], -abs(max(1, low) + n - middle)))
    return [*_parted(frames, scene[:at], most), *_parted(frames, scene[at:], most)]


def _moments(frames: Sequence[Frame], run: Sequence[int]) -> int:
    return len({frames[frame].moment if frames[frame].moment >= 0 else -frame - 2 for frame in run})
