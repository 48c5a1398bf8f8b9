"""The tables of the index that hold what grouping found."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from setsolver.catalog.records import Groups

__all__ = ["pairs_in", "put_groups", "series_in"]

_BLOCK = 4096
"""Rows of an array that are numbers of Python's at a time: all at once would need ten times the array's memory."""


def put_groups(db: sqlite3.Connection, ids: Sequence[int], groups: Groups) -> None:
    """Write them in place of those there; ``ids`` are the rows of the frames. The caller holds the transaction."""
    row = np.asarray(ids, np.int64)
    for table in ("label", "pair", "series"):
        db.execute(f"DELETE FROM {table}")  # noqa: S608 - names from above
    db.executemany("INSERT INTO label VALUES (?, ?, ?, ?)", _rows(np.column_stack([row, groups.labels])))
    first, second = row[groups.same.first], row[groups.same.second]
    db.executemany("INSERT INTO pair VALUES (?, ?)", _rows(np.column_stack([first, second])))
    for number, frames in enumerate(groups.same.series):
        db.executemany("INSERT INTO series VALUES (?, ?)", _rows(np.column_stack([row[frames], 0 * frames + number])))


def pairs_in(db: sqlite3.Connection, ids: Sequence[int]) -> tuple[tuple[int, int], ...]:
    """Return near-duplicates by position in ``ids``, a < b, sorted; frames that are not among these have none."""
    place = {row: number for number, row in enumerate(ids)}
    pairs = db.execute("SELECT first, second FROM pair").fetchall()
    found = ((place[a], place[b]) for a, b in pairs if a in place and b in place)
    return tuple(sorted((min(pair), max(pair)) for pair in found))


def series_in(db: sqlite3.Connection, ids: Sequence[int]) -> tuple[tuple[int, ...], ...]:
    """Return the positions in ``ids`` of each series' frames, sorted."""
    labels = dict(db.execute("SELECT frame, series FROM series"))
    found: dict[int, list[int]] = {}
    for number, row in enumerate(ids):
        if row in labels:
            found.setdefault(labels[row], []).append(number)
    return tuple(sorted(map(tuple, found.values())))


def _rows(table: NDArray[np.int64]) -> Iterator[list[int]]:
    for start in range(0, len(table), _BLOCK):
        yield from table[start : start + _BLOCK].tolist()
