"""Rows of measured and of refused files: written, replaced, and dropped; whoever calls holds the transaction."""

from __future__ import annotations

import sqlite3
from typing import Any

from setsolver.catalog import corrections
from setsolver.catalog.codec import pack_measures, pack_shot
from setsolver.catalog.records import Measured, RefusedRow
from setsolver.domain.measures import Measures

__all__ = ["drop_frame", "put_frame", "put_measures", "put_refused"]


def put_frame(db: sqlite3.Connection, row: Measured) -> None:
    """Write a frame; without measures it keeps those that it has, and its size, for its pixels are the same."""
    known = row.known
    values: dict[str, Any] = {
        "path": row.path,
        "bytes": known.size,
        "mtime_ns": known.mtime_ns,
        "stamp": known.stamp,
        "digest": known.digest,
        "version": "",
        "width": row.width,
        "height": row.height,
        "note": row.note,
        "shot": pack_shot(row.shot),
        "facts": "{}",
    }
    if row.measures is None:
        kept = {name: values[name] for name in ("bytes", "mtime_ns", "stamp", "shot")}
        places = ", ".join(f"{name} = ?" for name in kept)
        db.execute(f"UPDATE frame SET {places} WHERE path = ?", (*kept.values(), row.path))  # noqa: S608 - names from above
        return
    updates = ", ".join(f"{name} = excluded.{name}" for name in values if name != "path")
    db.execute(
        f"INSERT INTO frame ({', '.join(values)}) VALUES ({', '.join('?' * len(values))}) "  # noqa: S608 - names from above
        f"ON CONFLICT (path) DO UPDATE SET {updates}",
        tuple(values.values()),
    )
    _put_turn(db, row.path, known.turn)
    put_measures(db, row.path, known.version, row.measures)


def put_refused(db: sqlite3.Connection, out: RefusedRow) -> None:
    """Write a file that could not be measured, in place of what was measured of it."""
    known = out.known
    drop_frame(db, out.path)
    values = (out.path, known.size, known.mtime_ns, known.stamp, known.version, out.why, out.again)
    db.execute("INSERT OR REPLACE INTO refused VALUES (?, ?, ?, ?, ?, ?, ?)", values)


def _put_turn(db: sqlite3.Connection, path: str, degrees: int) -> None:
    db.execute("DELETE FROM turned WHERE frame = (SELECT id FROM frame WHERE path = ?)", (path,))
    if degrees:
        db.execute("INSERT INTO turned SELECT id, ? FROM frame WHERE path = ?", (degrees, path))


def put_measures(db: sqlite3.Connection, path: str, version: str, measures: Measures) -> None:
    """Write what was measured of a frame that is there, in place of what was."""
    facts, arrays = pack_measures(measures)
    db.execute("UPDATE frame SET version = ?, facts = ? WHERE path = ?", (version, facts, path))
    (key,) = db.execute("SELECT id FROM frame WHERE path = ?", (path,)).fetchone()
    db.execute("DELETE FROM array WHERE frame = ?", (key,))
    packed = [(key, name, *array) for name, array in arrays.items()]
    db.executemany("INSERT INTO array VALUES (?, ?, ?, ?, ?)", packed)


def drop_frame(db: sqlite3.Connection, path: str) -> None:
    """Take out a frame; corrections keep what it was, in case it comes back under another path."""
    corrections.keep_content(db, path)
    db.execute("DELETE FROM frame WHERE path = ?", (path,))
