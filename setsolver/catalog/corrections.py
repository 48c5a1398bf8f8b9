"""The table of the user's own corrections: by path, and by content once the path is gone, for files that are moved.

The callers hold the transaction.
"""

from __future__ import annotations

import sqlite3
import time
from collections import defaultdict
from collections.abc import Mapping

__all__ = ["carry", "clocks", "dated", "keep_content", "newer", "put", "put_clocks", "said", "take"]

_CLOCK = "clock"
_CAMERA = "/"
"""What the name of a camera stands behind in the place of a path, as no path within a catalog does."""

_LEFT = """
    SELECT DISTINCT digest, path FROM correction
    WHERE digest IS NOT NULL AND path NOT IN (SELECT path FROM frame UNION ALL SELECT path FROM refused)
"""
_FREE = "SELECT digest, path FROM frame WHERE path NOT IN (SELECT path FROM correction)"


def put(db: sqlite3.Connection, corrections: Mapping[str, Mapping[str, str | None]]) -> None:
    """Keep values by path and name; None takes one back."""
    for path, values in corrections.items():
        for name, value in values.items():
            _put_one(db, path, name, value, time.time_ns())


def _put_one(db: sqlite3.Connection, path: str, name: str, value: str | None, made: int) -> None:
    """Keep one value; that it was taken back is kept, too, so that it does not come back from another index."""
    key = (path, name)
    db.execute("DELETE FROM correction WHERE path = ? AND name = ?", key)
    db.execute("DELETE FROM taken_back WHERE path = ? AND name = ?", key)
    if value is None:
        db.execute("INSERT INTO taken_back VALUES (?, ?, ?)", (*key, made))
    else:
        db.execute("INSERT INTO correction (path, name, value, made_ns) VALUES (?, ?, ?, ?)", (*key, value, made))


def dated(db: sqlite3.Connection) -> dict[tuple[str, str], tuple[int, str | None]]:
    """Return when each thing was said (ns since 1970, 0 = unknown) and what, by path and name; None = taken back.

    Reads indexes of older versions, too, which knew neither names nor times.
    """
    columns = {name for _, name, *_ in db.execute("PRAGMA table_info(correction)")}
    if "made_ns" in columns:
        query = "SELECT path, name, made_ns, value FROM correction"
    elif "name" in columns:
        query = "SELECT path, name, 0, value FROM correction"
    elif "scale" in columns:
        query = "SELECT path, 'scale', 0, scale FROM correction"
    else:
        return {}
    found: dict[tuple[str, str], tuple[int, str | None]] = {}
    if "made_ns" in columns:
        found = {(path, name): (made, None) for path, name, made in db.execute("SELECT * FROM taken_back")}
    return found | {(path, name): (made, value) for path, name, made, value in db.execute(query)}


def newer(
    ours: Mapping[tuple[str, str], tuple[int, str | None]], theirs: Mapping[tuple[str, str], tuple[int, str | None]]
) -> dict[tuple[str, str], tuple[int, str | None]]:
    """Return what was said later there than here, or there alone."""
    return {key: said for key, said in theirs.items() if key not in ours or said[0] > ours[key][0]}


def take(db: sqlite3.Connection, said: Mapping[tuple[str, str], tuple[int, str | None]]) -> None:
    """Keep what was said elsewhere, with the time when it was."""
    for (path, name), (made, value) in said.items():
        _put_one(db, path, name, value, made)


def said(db: sqlite3.Connection) -> dict[str, dict[str, str]]:
    """Return what was said of frames: values by path and name."""
    found = defaultdict[str, dict[str, str]](dict)
    for path, name, value in db.execute("SELECT path, name, value FROM correction WHERE name != ?", (_CLOCK,)):
        found[path][name] = value
    return dict(found)


def put_clocks(db: sqlite3.Connection, said: Mapping[str, str | None]) -> None:
    """Keep what was said of the clocks of cameras, by the cameras' names; None takes it back."""
    put(db, {_CAMERA + camera: {_CLOCK: value} for camera, value in said.items()})


def clocks(db: sqlite3.Connection) -> dict[str, str]:
    """Return what was said of the clocks of cameras, by the cameras' names."""
    rows = db.execute("SELECT path, value FROM correction WHERE name = ? ORDER BY path", (_CLOCK,))
    return {path.removeprefix(_CAMERA): value for path, value in rows}


def keep_content(db: sqlite3.Connection, path: str) -> None:
    """Keep what a frame's file held with its correction; to be called before the frame is deleted."""
    content = "SELECT digest FROM frame WHERE frame.path = correction.path"
    db.execute(f"UPDATE correction SET digest = coalesce(({content}), digest) WHERE path = ?", (path,))  # noqa: S608


def carry(db: sqlite3.Connection) -> tuple[tuple[str, str], ...]:
    """Give corrections whose file is gone to the frame with the same content; return (path, new path) in order.

    Only where one corrected path is gone and one frame without a correction has its content: of copies, nobody can
    tell which was meant.
    """
    left = _by_content(db, _LEFT)
    if not left:
        return ()
    free = _by_content(db, _FREE)
    moved = tuple(
        sorted(
            (paths[0], free[content][0])
            for content, paths in left.items()
            if len(paths) == 1 and len(free[content]) == 1
        )
    )
    for old, new in moved:
        db.execute("UPDATE correction SET path = ?, digest = NULL WHERE path = ?", (new, old))
    return moved


def _by_content(db: sqlite3.Connection, query: str) -> defaultdict[bytes, list[str]]:
    found = defaultdict[bytes, list[str]](list)
    for digest, path in db.execute(query):
        found[digest].append(path)
    return found
