"""The frames of a catalog as a page's tray reads them: columns, and after a change only the frames that it touched.

Names of files and words come out inert (no control or steering characters); a page shows them as text.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
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
        self._of: Snapshot | None = None
        self._twins: tuple[tuple[int, int], ...] = ()
        self._paths: list[str] | None = None

    def since(self, snapshot: Snapshot, known: int = 0) -> dict[str, Any]:
        """Return the frames as columns.

        Parameters
        ----------
        known : the number of a list that the page has; where it is remembered and holds the same frames, only those
            that differ are returned, and ``whole`` is False.
        """
        number = self.number(snapshot)
        rows, before = self._lists[number], self._lists.get(known)
        whole = before is None or before.keys() != rows.keys()
        told = [row for key, row in rows.items() if whole or before is None or before[key] != row]
        return {"list": number, "whole": whole, "columns": dict(zip(COLUMNS, _columns(told), strict=True))}

    def number(self, snapshot: Snapshot) -> int:
        """Return the number of the list of a snapshot."""
        if snapshot is not self._of:
            leaders = _leaders(snapshot, self._twins_of(snapshot))
            rows = [_row(frame, leaders[frame.id]) for frame in snapshot.frames]
            number = max(self._lists, default=0) + 1
            self._lists = dict([*self._lists.items()][1 - _KEPT :]) | {number: {row[0]: row for row in rows}}
            self._of = snapshot
        return max(self._lists)

    def _twins_of(self, snapshot: Snapshot) -> tuple[tuple[int, int], ...]:
        """Return the twins, found once for the same files: stars and scales make nobody look otherwise."""
        paths = [frame.path for frame in snapshot.frames]
        if paths != self._paths:
            self._twins, self._paths = tuple(twins_of(snapshot, LIKELY)), paths
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
