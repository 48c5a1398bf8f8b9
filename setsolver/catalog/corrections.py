"""The table of the user's own corrections: by path, and by content once the path is gone, for files that are moved.

The callers hold the transaction.
"""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Mapping

__all__ = ["carry", "keep_content", "put", "said"]

_LEFT = """
    SELECT DISTINCT digest, path FROM correction
    WHERE digest IS NOT NULL AND path NOT IN (SELECT path FROM frame UNION ALL SELECT path FROM refused)
"""
_FREE = "SELECT digest, path FROM frame WHERE path NOT IN (SELECT path FROM correction)"


def put(db: sqlite3.Connection, corrections: Mapping[str, Mapping[str, str | None]]) -> None:
    """Keep values by path and name; None takes one back."""
    for path, values in corrections.items():
        for name, value in values.items():
            db.execute("DELETE FROM correction WHERE path = ? AND name = ?", (path, name))
            if value is not None:
                db.execute("INSERT INTO correction (path, name, value) VALUES (?, ?, ?)", (path, name, value))


def said(db: sqlite3.Connection) -> dict[str, dict[str, str]]:
    """Return values by path and name."""
    found = defaultdict[str, dict[str, str]](dict)
    for path, name, value in db.execute("SELECT path, name, value FROM correction"):
        found[path][name] = value
    return dict(found)


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
