"""Moments, scenes and chapters of a catalog, from time, camera and likeness.

* A *moment* is a burst (frames of one camera within seconds of each other that look alike) or one view, whenever it was
  taken (near-duplicates).
* A *scene* ends where time stands still for long, or where a shorter pause, other content and other light together say
  so: a wide and a close view of one place look different, too. Frames without a time are taken in order of path, and
  content alone decides. A moment belongs to one scene, that of most of its frames, so
  that "at most so many a moment" nests in "at most so many a scene".
* A *chapter* is a run of scenes without a long break; it follows each frame's own time.

Gaps in seconds and what counts as alike are common practice, no source; they are parameters with the defaults of
``Habits``.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from setsolver.catalog.records import Pairs
from setsolver.catalog.series import connected
from setsolver.catalog.short_codes import Vectors

__all__ = ["Grouping", "Habits", "Sighting", "group"]

_BLOCK = 1024
_DAY_S = 86_400.0


@dataclass(frozen=True, slots=True)
class Habits:
    """Seconds, and distances of unit vectors (0 = the same, 1.41 = unrelated), by which frames are told apart.

    burst_s, burst_distance : longest gap and distance within a burst. scene_s : a gap that ends a scene in any case.
    pause_s, scene_distance : a gap and a change of content that are as likely within a scene as between two.
    distance_weight, light_weight : what content, for each unit of distance, and light, for each EV, say beside each
    doubling of the pause. scene_bar : sum from which a scene ends. chapter_s : a gap that ends a chapter.
    untimed_distance : change of content that ends a scene where no time is known.
    """

    burst_s: float = 2.0
    burst_distance: float = 1.18
    pause_s: float = 300.0
    scene_s: float = 1800.0
    scene_distance: float = 1.3
    distance_weight: float = 10.0
    light_weight: float = 0.15
    scene_bar: float = 0.36
    untimed_distance: float = 1.25
    chapter_s: float = 7200.0


@dataclass(frozen=True, slots=True, eq=False)
class Sighting:
    """What grouping knows of n frames in order of path.

    vectors : float32[n, d], unit length, asked for block by block. instant : float64[n], seconds, NaN where unknown.
    camera : int64[n], -1 where unknown. folder : int64[n]. cameras : names of the cameras 0, 1, 2, ... light :
    float64[n], EV at ISO 100, NaN where unknown; empty where nothing is known of any. vague : bool[n], whether only the
    day is known, which ``instant`` is the start of; empty for none. said : cameras whose clocks the user set.
    """

    vectors: Vectors
    instant: NDArray[np.float64]
    camera: NDArray[np.int64]
    folder: NDArray[np.int64]
    cameras: tuple[str, ...] = ()
    light: NDArray[np.float64] = field(default_factory=lambda: np.empty(0))
    vague: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, np.bool_))
    said: frozenset[int] = frozenset()

    @property
    def exact(self) -> NDArray[np.bool_]:
        """Whether a frame's time is known to more than its day."""
        known = np.isfinite(self.instant)
        return known & ~self.vague if len(self.vague) else known


@dataclass(frozen=True, slots=True, eq=False)
class Grouping:
    """Labels from 0, in order of first appearance in time; int64[n] each."""

    moment: NDArray[np.int64]
    scene: NDArray[np.int64]
    chapter: NDArray[np.int64]


def group(seen: Sighting, same: Pairs, habits: Habits | None = None) -> Grouping:
    """Return labels of all frames; ``same`` are the pairs that a viewer would call the same picture."""
    habits = habits or Habits()
    order = _in_time(seen)
    burst = _bursts(seen, habits)
    first, second = same.links()
    moment = connected(len(order), np.concatenate([first, burst[:, 0]]), np.concatenate([second, burst[:, 1]]))
    scene, chapter = _runs(seen, order, habits)
    scene = _of_most(moment, scene)
    return Grouping(*(_renumbered(labels, order) for labels in (moment, scene, chapter)))


def _in_time(seen: Sighting) -> NDArray[np.int64]:
    """Return positions by time, then those without a time in order of path."""
    return np.lexsort((np.arange(len(seen.instant)), seen.instant))  # NaN sorts last


def _bursts(seen: Sighting, habits: Habits) -> NDArray[np.int64]:
    """Return pairs of neighbours in time of one camera that are near in time and alike; int64[P, 2]."""
    timed = np.flatnonzero(seen.exact)
    by_camera = timed[np.lexsort((timed, seen.instant[timed], seen.camera[timed]))]
    one, two = by_camera[:-1], by_camera[1:]
    near = (seen.camera[one] == seen.camera[two]) & (seen.instant[two] - seen.instant[one] <= habits.burst_s)
    one, two = one[near], two[near]
    alike = np.empty(len(one), np.bool_)
    for start in range(0, len(one), _BLOCK):
        part = slice(start, start + _BLOCK)
        apart = np.linalg.norm(seen.vectors[one[part]] - seen.vectors[two[part]], axis=1)
        alike[part] = apart <= habits.burst_distance
    return np.column_stack([one[alike], two[alike]])


def _runs(seen: Sighting, order: NDArray[np.int64], habits: Habits) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return scene and chapter of each frame by breaks between neighbours in time."""
    if not len(order):
        return order, order
    time = seen.instant[order]
    gap = np.diff(time)  # NaN where either time is unknown
    exact = seen.exact[order]
    gap[~(exact[:-1] & exact[1:]) & (gap < _DAY_S)] = np.nan  # one day, but nobody knows when
    turn = _turns(seen.vectors, order)
    light = _change(seen.light[order][:, None]) if len(seen.light) else np.zeros(len(gap))
    unknown = np.isnan(gap)
    ends_timed = np.isfinite(time[:-1]) & np.isnan(time[1:])
    other_folder = np.diff(seen.folder[order]) != 0
    chapter_break = np.where(unknown, ends_timed | other_folder, gap > habits.chapter_s)
    scene_break = np.where(
        unknown,
        turn > habits.untimed_distance,
        (gap > habits.scene_s) | (_apart(gap, turn, light, habits) > habits.scene_bar),
    )
    return _numbered(order, scene_break | chapter_break), _numbered(order, chapter_break)


def _apart(
    gap: NDArray[np.float64], turn: NDArray[np.float64], light: NDArray[np.float64], habits: Habits
) -> NDArray[np.float64]:
    """Return how much pause (seconds), change of content and change of light (EV) at each step say for a new scene."""
    pause = np.log2(np.maximum(np.nan_to_num(gap), 1e-3) / habits.pause_s)
    content = habits.distance_weight * (turn - habits.scene_distance)
    return np.asarray(pause + content + habits.light_weight * np.where(np.isfinite(light), light, 0.0))


def _turns(vectors: Vectors, order: NDArray[np.int64]) -> NDArray[np.float64]:
    """Return ``_change`` of the vectors in an order, asked for block by block with the two frames around each."""
    turns = np.empty(max(0, len(order) - 1))
    for start in range(0, len(turns), _BLOCK):
        stop = min(start + _BLOCK, len(turns))
        before = min(start, 1)
        turns[start:stop] = _change(vectors[order[start - before : stop + 2]])[before : before + stop - start]
    return turns


def _change(vectors: NDArray[np.floating]) -> NDArray[np.float64]:
    """Return how far content moves at each step: the least distance between two frames before and two after it.

    One odd frame (a hand before the lens, a glance aside) is then no change of scene.
    """
    count = len(vectors)
    best = np.full(max(0, count - 1), np.inf)
    for back in (0, 1):
        for ahead in (1, 2):
            left = np.arange(back, count - ahead)
            apart = np.linalg.norm(vectors[left - back] - vectors[left + ahead], axis=1)
            best[left] = np.fmin(best[left], apart)  # what is not known says nothing
    return best


def _numbered(order: NDArray[np.int64], breaks: NDArray[np.bool_]) -> NDArray[np.int64]:
    labels = np.empty(len(order), np.int64)
    labels[order] = np.concatenate([[0], np.cumsum(breaks)])
    return labels


def _of_most(moment: NDArray[np.int64], scene: NDArray[np.int64]) -> NDArray[np.int64]:
    """Give all frames of a moment the scene of most of them (the earlier one where two are equal)."""
    if not len(moment):
        return scene
    both, counts = np.unique(np.column_stack([moment, scene]), axis=0, return_counts=True)
    by_count = np.lexsort((both[:, 1], -counts, both[:, 0]))
    moments, where = np.unique(both[by_count, 0], return_index=True)
    chosen: NDArray[np.int64] = both[by_count, 1][where]
    return chosen[np.searchsorted(moments, moment)]


def _renumbered(labels: NDArray[np.int64], order: NDArray[np.int64]) -> NDArray[np.int64]:
    """Number labels by first appearance in time."""
    _, first, inverse = np.unique(labels[order], return_index=True, return_inverse=True)
    rank = np.empty(len(first), np.int64)
    rank[np.argsort(first)] = np.arange(len(first))
    out = np.empty(len(labels), np.int64)
    out[order] = rank[inverse]
    return out
