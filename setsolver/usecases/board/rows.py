"""The frames of a catalog as a page's tray reads them: columns, and after a change only the frames that it touched.

Names of files and words come out inert (no control or steering characters); a page shows them as text.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from math import isnan
from operator import is_
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from setsolver.domain.columns import Column, appeal_of, chapters_of, moments_of, odds_of, scenes_of
from setsolver.domain.measures import SCALES
from setsolver.output.view.words import inert, moment, name_of
from setsolver.rules.twins import twins_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from setsolver.domain.frame import Frame
    from setsolver.domain.snapshot import Snapshot

__all__ = ["FrameRows", "key_of"]

COLUMNS = (
    "frame",
    "name",
    "folder",
    "words",
    "shows",
    "sure",
    "said",
    "appeal",
    "quality",
    "time",
    "taken",
    "stars",
    "turn",
    "picture",
    "kind",
    "chapter",
    "scene",
    "fold",
    "ratio",
)
_FOLD = COLUMNS.index("fold")
LIKELY = 0.5
"""Chance that a viewer calls two frames repeats of each other from which one is folded under the other."""
_STAMP = 6
"""Digits of a file's digest by which a page tells a picture from the one that was there before: browsers keep those."""
_KEPT = 8
"""Lists that are remembered, so that a page that has one of them is told what differs."""


def key_of(path: str) -> str:
    """Return the key by which a page names a frame: 16 digits that say nothing of the path."""
    return hashlib.sha256(path.encode("utf-8", "surrogateescape")).hexdigest()[:16]


class FrameRows:
    """The lists that pages were given, each with a number."""

    def __init__(self) -> None:
        self._lists: dict[int, dict[str, tuple[Any, ...]]] = {}
        self._number = 0
        self._of: Snapshot | None = None
        self._twins: tuple[tuple[int, int], ...] = ()
        self._looks: tuple[Any, ...] | None = None

    def since(self, snapshot: Snapshot, known: int = 0) -> dict[str, Any]:
        """Return the frames as columns.

        Parameters
        ----------
        known : the number of a list that the page has; where it is remembered and holds the same frames, only those
            that differ are returned, and ``whole`` is False.
        """
        rows, number, before = self._list(snapshot), self.number(snapshot), self._lists.get(known)
        whole = before is None or before.keys() != rows.keys()
        told = [row for key, row in rows.items() if whole or before is None or before[key] != row]
        return {"list": number, "whole": whole, "columns": dict(zip(COLUMNS, _columns(told), strict=True))}

    def look_of(self, snapshot: Snapshot, key: str) -> str:
        """Return the key of the frame under which a frame is folded, itself where it repeats nothing."""
        leader: str = self._list(snapshot)[key][_FOLD]
        return leader

    def _list(self, snapshot: Snapshot) -> dict[str, tuple[Any, ...]]:
        number = self.number(snapshot)
        if number not in self._lists:
            made = _rows(snapshot, _leaders(snapshot, self._twins_of(snapshot)))
            self._lists = dict([*self._lists.items()][1 - _KEPT :]) | {number: {row[0]: row for row in made}}
        return self._lists[number]

    def number(self, snapshot: Snapshot) -> int:
        """Return the number of the list of a snapshot, which is made once a page asks for it."""
        if snapshot is not self._of:
            self._number, self._of = self._number + 1, snapshot
        return self._number

    def _twins_of(self, snapshot: Snapshot) -> tuple[tuple[int, int], ...]:
        """Return the twins, found once for the same looks: stars and scales make nobody look otherwise."""
        looks = () if snapshot.signatures is None else snapshot.signatures()
        if self._looks is None or len(looks) != len(self._looks) or not all(map(is_, looks, self._looks)):
            self._twins, self._looks = tuple(twins_of(snapshot, LIKELY)), looks
        return self._twins


def _columns(rows: list[tuple[Any, ...]]) -> list[list[Any]]:
    return [list(column) for column in zip(*rows, strict=True)] or [[] for _ in COLUMNS]


def _leaders(snapshot: Snapshot, twins: tuple[tuple[int, int], ...]) -> list[str]:
    """Return for each frame the key of the one that it is folded under: the most appealing that it repeats, or itself.

    Repeats are frames of one moment or series, and pairs that a viewer would call the same picture, twins among them.
    """
    frames = snapshot.frames
    alike = defaultdict[int, set[int]](set)
    moments = defaultdict[int, list[int]](list)
    for a, b in (*snapshot.pairs, *twins):
        alike[a].add(b)
        alike[b].add(a)
    for one, moment_ in enumerate(moments_of(frames).tolist()):
        if moment_ >= 0:
            moments[moment_].append(one)
    groups = [*snapshot.series, *moments.values()]
    members = defaultdict[int, list[int]](list)
    for at, group in enumerate(groups):
        for one in group:
            members[one].append(at)
    appeal, quality = appeal_of(frames), _QUALITY.of(frames)
    leader = [-1] * len(frames)
    for first in np.argsort(-np.where(np.isnan(appeal), quality, appeal), kind="stable").tolist():
        if leader[first] < 0:
            near = alike[first].union(*(groups[at] for at in members[first]), (first,))
            for one in near:
                leader[one] = first if leader[one] < 0 else leader[one]
    keys = [still.key for still in _STILL.of(frames).tolist()]
    return [keys[one] for one in leader]


class _Still(NamedTuple):
    """What stands under ``COLUMNS`` of a frame whatever is said of others."""

    key: str
    name: str
    folder: str
    words: str
    said: str | None
    quality: float
    time: float | None
    taken: str
    stars: float | None
    turn: int
    picture: str
    kind: str
    ratio: float


def _still(frame: Frame) -> _Still:
    return _Still(
        key_of(frame.path),
        name_of(frame.path),
        inert(frame.path.rpartition("/")[0]),
        inert(" ".join(frame.shot.keywords)),
        frame.said,
        round(float(frame.measures.quality), 2),
        frame.shot.instant,
        moment(frame.shot.time.isoformat() if frame.shot.time else None),
        frame.given_stars,
        frame.turn or 0,
        f"{frame.content.hex()[:_STAMP]}{(frame.turn or 0) // 90}",
        frame.kind,
        round(frame.aspect, 4),
    )


_STILL = Column(_still, object)
_QUALITY = Column(lambda frame: frame.measures.quality)


def _rows(snapshot: Snapshot, leaders: list[str]) -> Iterator[tuple[Any, ...]]:
    """Yield what stands under ``COLUMNS`` of each frame."""
    frames = snapshot.frames
    odds = odds_of(frames)
    columns = (
        _STILL.of(frames).tolist(),
        odds.argmax(axis=1).tolist(),
        odds.max(axis=1, initial=0.0).tolist(),
        appeal_of(frames).tolist(),
        chapters_of(frames).tolist(),
        scenes_of(frames).tolist(),
        leaders,
    )
    for still, best, sure, appeal, chapter, scene, leader in zip(*columns, strict=True):
        yield (
            *still[:4],
            SCALES[best],
            round(sure, 2),
            still.said,
            None if isnan(appeal) else round(appeal, 2),
            still.quality,
            still.time,
            still.taken,
            still.stars,
            still.turn,
            still.picture,
            still.kind,
            chapter,
            scene,
            leader,
            still.ratio,
        )
