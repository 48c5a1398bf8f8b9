"""Spreads that were proven for an album, kept beside it, so that a change of it begins where it ended."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
from xxhash import xxh3_128

from setsolver.domain.book import spread_of
from setsolver.reading import read_within

if TYPE_CHECKING:
    from setsolver.domain.book import Book, Spread

__all__ = ["COLUMNS", "columns_in", "kept_columns"]

COLUMNS: Final = "columns.npz"
MOST_BYTES: Final = 50_000_000
MOST_COLUMNS: Final = 20_000
NONE: Final = -1


def kept_columns(book: Book, spreads: Sequence[Spread]) -> bytes:
    """Return spreads as a file: kinds [n], rows and slots [n, most pictures], -1 = no picture, and whose they are."""
    most = max((len(spread.rows) for spread in spreads), default=1)

    def padded(lines: list[tuple[int, ...]]) -> np.ndarray:
        table = np.full((len(lines), most), NONE, dtype=np.int32)
        for number, line in enumerate(lines):
            table[number, : len(line)] = line
        return table

    data = BytesIO()
    np.savez_compressed(
        data,
        of=np.array(_digest(book)),
        kind=np.array([spread.kind for spread in spreads], dtype=np.int32),
        rows=padded([spread.rows for spread in spreads]),
        roles=padded([spread.roles for spread in spreads]),
    )
    return data.getvalue()


def columns_in(folder: Path, book: Book) -> tuple[Spread, ...]:
    """Return the spreads kept beside an album, scored anew; none where there are none, or they are of other pictures.

    What was measured or asked otherwise since changes what spreads are worth: then the search begins afresh.
    """
    try:
        with np.load(BytesIO(read_within(folder / COLUMNS, MOST_BYTES)), allow_pickle=False) as kept:
            of, kind, rows, roles = (kept[name] for name in ("of", "kind", "rows", "roles"))
    except Exception:  # noqa: BLE001 - a spoilt archive fails in a dozen ways, and the file is only there to save time
        return ()
    numbers = all(array.dtype.kind == "i" for array in (kind, rows, roles))
    fits = rows.ndim == 2 and rows.shape == roles.shape and kind.shape == rows.shape[:1] and len(rows) <= MOST_COLUMNS
    if not numbers or not fits or str(of) != _digest(book):
        return ()
    barred = set(book.problem.exclude.tolist())
    spreads = []
    for number, row, role in zip(kind.tolist(), rows.tolist(), roles.tolist(), strict=True):
        own = [one for one in row if one != NONE]
        if _may_be(book, number, own, role[: len(own)]) and not barred & set(book.problem.frame[own].tolist()):
            spreads.append(spread_of(book, number, own, role[: len(own)]))
    passages = [spread for spread in spreads if _told_from_one_place(book, spread)]
    return tuple(passages)


def _may_be(book: Book, kind: int, rows: list[int], roles: list[int]) -> bool:
    """Return whether numbers from a file are a spread of this book: anything may stand in a file."""
    if not (0 <= kind < len(book.kinds) and all(0 <= row < book.problem.renditions for row in rows)):
        return False
    of = book.kinds[kind]
    if len(np.unique(book.problem.frame[rows])) < len(rows):
        return False
    counts = [roles.count(role) for role in range(len(of.slots))]
    if counts != list(of.counts) or len(roles) != of.size or (book.passage[rows] < 0).any():
        return False
    gains = [book.problem.gain[row, of.slots[role]] for row, role in zip(rows, roles, strict=True)]
    return not np.isnan(gains).any()


def _told_from_one_place(book: Book, spread: Spread) -> bool:
    return spread.last <= spread.first + 1 and book.chapter[spread.first] == book.chapter[spread.last]


def _digest(book: Book) -> str:
    """Return what tells these renditions, in these kinds at these points and under these rules, from others.

    What is pinned or barred is left out, and so are passages: a change asks for just that, and each spread is told
    from one place or not by itself.
    """
    digest = xxh3_128()
    problem = book.problem.replaced(include=[], exclude=[])
    for array in (*problem.to_arrays().values(), book.group, book.group_cap):
        digest.update(f"{np.shape(array)}".encode())
        digest.update(np.ascontiguousarray(array).tobytes())
    for kind in book.kinds:
        digest.update(repr((kind.name, kind.slots, kind.counts, kind.shares)).encode())
    return digest.hexdigest()
