"""Moments, scenes and chapters of a catalog, from time, camera and likeness.

* A *moment* is a burst (frames of one camera within seconds of each other that look alike) or one view, whenever it was
  taken (near-duplicates).
* A *scene* is what belongs together by content, place, light and time within a chapter (``scenes``): it may be left and
  come back to. Frames without a time are told by what they show alone. A moment belongs to one scene, that of most
  of its frames, so that "at most so many a moment" nests in "at most so many a scene".
* A *chapter* is a run of scenes without a long break; it follows each frame's own time.

Gaps in seconds and what counts as a burst are common practice, no source; they are parameters with the defaults of
``Habits``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from operator import is_
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from setsolver.catalog.records import Pairs
from setsolver.catalog.scenes import MOST_AT_ONCE, WEIGHTS, Fitted, Looks, chances, joined
from setsolver.catalog.series import connected
from setsolver.catalog.short_codes import Vectors

__all__ = ["Grouping", "Habits", "KnownScenes", "Sighting", "group"]

_BLOCK = 1024
_DAY_S = 86_400.0


@dataclass(frozen=True, slots=True)
class Habits:
    """Seconds, and distances of unit vectors (0 = the same, 1.41 = unrelated), by which frames are told apart.

    burst_s, burst_distance : longest gap and distance within a burst. scene_bar : mean chance of their pairs over which
    groups of frames are one scene, chosen by benchmarks/features/scenes.py. chapter_s : a gap that ends a chapter.
    """

    burst_s: float = 2.0
    burst_distance: float = 1.18
    scene_bar: float = 0.4
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


class _Stretch(NamedTuple):
    """A stretch of frames whose scenes were told: what their looks are made of, times and light, and labels."""

    made_of: Sequence[object]
    instant: NDArray[np.float64]
    light: NDArray[np.float64]
    labels: NDArray[np.int64]


KnownScenes = dict[bytes, _Stretch]
"""Stretches of frames whose scenes were told before, by the positions of their frames."""


class LastingLooks(Looks, Protocol):
    """Looks of which one can tell whether they are what they were."""

    def made_of(self, rows: NDArray[np.int64], /) -> Sequence[object]:
        """Return what the looks of some frames are made of; where all are the very same, so is the look."""


def group(
    seen: Sighting,
    looks: Looks,
    same: Pairs,
    habits: Habits | None = None,
    weights: Fitted = WEIGHTS,
    known: KnownScenes | None = None,
    tell: Callable[[int, int], None] | None = None,
) -> Grouping:
    """Return labels of all frames.

    Parameters
    ----------
    looks : what scenes are told by. same : the pairs that a viewer would call the same picture. weights : of scenes'
        chances, other than the fitted ones. known : scenes told before by the same bar and weights of looks that last;
        those told now are put in their place. tell : told of how many frames the scenes are told, and of how many there
        are: of 100,000 that takes a minute.
    """
    habits = habits or Habits()
    order = _in_time(seen)
    burst = _bursts(seen, habits)
    first, second = same.links()
    moment = connected(len(order), np.concatenate([first, burst[:, 0]]), np.concatenate([second, burst[:, 1]]))
    chapter = _chapters(seen, order, habits)
    scene = _of_most(moment, _scenes(seen, looks, (order, chapter), habits.scene_bar, weights, known, tell))
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


def _chapters(seen: Sighting, order: NDArray[np.int64], habits: Habits) -> NDArray[np.int64]:
    """Return the chapter of each frame by breaks between neighbours in time."""
    if not len(order):
        return order
    time = seen.instant[order]
    gap = np.diff(time)  # NaN where either time is unknown
    exact = seen.exact[order]
    gap[~(exact[:-1] & exact[1:]) & (gap < _DAY_S)] = np.nan  # one day, but nobody knows when
    ends_timed = np.isfinite(time[:-1]) & np.isnan(time[1:])
    other_folder = np.diff(seen.folder[order]) != 0
    return _numbered(order, np.where(np.isnan(gap), ends_timed | other_folder, gap > habits.chapter_s))


def _scenes(
    seen: Sighting,
    looks: Looks,
    chapters: tuple[NDArray[np.int64], NDArray[np.int64]],
    bar: float,
    weights: Fitted,
    known: KnownScenes | None,
    tell: Callable[[int, int], None] | None,
) -> NDArray[np.int64]:
    """Return the scene of each frame, numbered as they come.

    chapters : positions in order of time, and the chapter of each frame.
    """
    told: KnownScenes = {}
    scene = np.empty(len(seen.instant), np.int64)
    instant = np.where(seen.exact, seen.instant, np.nan)
    count = done = 0
    for rows in _together(*chapters, instant):
        light = seen.light[rows] if len(seen.light) else seen.light
        if len(rows) == 1:  # nothing is read of it
            found = np.zeros(1, np.int64)
        elif known is None:
            found = joined(chances(looks[rows], instant[rows], light, weights), bar)
        else:
            part = _told(known, looks, rows, instant[rows], light)
            if part is None:
                found = joined(chances(looks[rows], instant[rows], light, weights), bar)
                part = _Stretch(looks.made_of(rows), instant[rows], light, found)  # type: ignore[attr-defined]
            told[rows.tobytes()] = part
            found = part.labels
        scene[rows] = count + found
        count += int(found.max()) + 1
        done += len(rows)
        if tell is not None and (len(rows) > 1 or done == len(scene)):
            tell(done, len(scene))
    if known is not None:
        known.clear()
        known.update(told)
    return scene


def _told(
    known: KnownScenes,
    looks: Looks,
    rows: NDArray[np.int64],
    instant: NDArray[np.float64],
    light: NDArray[np.float64],
) -> _Stretch | None:
    """Return what was told of the very same frames before, None where something differs."""
    part = known.get(rows.tobytes())
    if part is None or not np.array_equal(part.instant, instant, equal_nan=True):
        return None
    if not np.array_equal(part.light, light, equal_nan=True):
        return None
    return part if all(map(is_, part.made_of, looks.made_of(rows))) else None  # type: ignore[attr-defined]


def _together(
    order: NDArray[np.int64], chapter: NDArray[np.int64], instant: NDArray[np.float64]
) -> Iterator[NDArray[np.int64]]:
    """Yield positions of frames that are compared each with each, in order of time: chapters, long ones in parts."""
    half = MOST_AT_ONCE // 2
    for whole in np.split(order, np.flatnonzero(np.diff(chapter[order])) + 1):
        left = whole
        while len(left) > MOST_AT_ONCE:
            pause = np.nan_to_num(np.diff(instant[left[half : MOST_AT_ONCE + 1]]))
            cut = half + int(np.flatnonzero(pause == pause.max())[-1]) + 1
            yield left[:cut]
            left = left[cut:]
        if len(left):
            yield left


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
