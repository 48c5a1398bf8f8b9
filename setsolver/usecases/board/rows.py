"""The frames of a catalog as a page's tray reads them: columns, and after a change only the frames that it touched.

Names of files and words come out inert (no control or steering characters); a page shows them as text.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from operator import is_
from typing import TYPE_CHECKING, Any

from setsolver.domain.measures import SCALES
from setsolver.output.view.words import inert, moment, name_of
from setsolver.rules.twins import twins_of

if TYPE_CHECKING:
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
    "kind",
    "chapter",
    "scene",
    "fold",
    "ratio",
)
LIKELY = 0.5
"""Chance that a viewer calls two frames repeats of each other from which one is folded under the other."""
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
        number = self.number(snapshot)
        if number not in self._lists:
            leaders = _leaders(snapshot, self._twins_of(snapshot))
            made = [_row(frame, leader) for frame, leader in zip(snapshot.frames, leaders, strict=True)]
            self._lists = dict([*self._lists.items()][1 - _KEPT :]) | {number: {row[0]: row for row in made}}
        rows, before = self._lists[number], self._lists.get(known)
        whole = before is None or before.keys() != rows.keys()
        told = [row for key, row in rows.items() if whole or before is None or before[key] != row]
        return {"list": number, "whole": whole, "columns": dict(zip(COLUMNS, _columns(told), strict=True))}

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
    alike = defaultdict[int, set[int]](set)
    moments = defaultdict[int, list[int]](list)
    for a, b in (*snapshot.pairs, *twins):
        alike[a].add(b)
        alike[b].add(a)
    for frame in snapshot.frames:
        if frame.moment >= 0:
            moments[frame.moment].append(frame.id)
    groups = [*snapshot.series, *moments.values()]
    members = defaultdict[int, list[int]](list)
    for at, group in enumerate(groups):
        for one in group:
            members[one].append(at)
    leader = [-1] * len(snapshot.frames)
    for frame in sorted(snapshot.frames, key=lambda one: -_appeal(one)):
        if leader[frame.id] < 0:
            near = alike[frame.id].union(*(groups[at] for at in members[frame.id]), (frame.id,))
            for one in near:
                leader[one] = frame.id if leader[one] < 0 else leader[one]
    return [key_of(snapshot.frames[one].path) for one in leader]


def _appeal(frame: Frame) -> float:
    return frame.measures.quality if frame.measures.appeal is None else frame.measures.appeal.value


def _row(frame: Frame, leader: str) -> tuple[Any, ...]:
    """Return what stands under ``COLUMNS``."""
    odds, appeal = frame.odds, frame.measures.appeal
    best = max(range(len(SCALES)), key=lambda at: odds[at])
    return (
        key_of(frame.path),
        name_of(frame.path),
        inert(frame.path.rpartition("/")[0]),
        inert(" ".join(frame.shot.keywords)),
        SCALES[best],
        round(float(odds[best]), 2),
        frame.said,
        None if appeal is None else round(float(appeal.value), 2),
        round(float(frame.measures.quality), 2),
        frame.shot.instant,
        moment(frame.shot.time.isoformat() if frame.shot.time else None),
        frame.given_stars,
        frame.turn or 0,
        frame.kind,
        frame.chapter,
        frame.scene,
        leader,
        round(frame.aspect, 4),
    )
