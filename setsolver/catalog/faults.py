"""What SQLite says goes wrong with an index, as an error with its way out; and whether a file is an index at all."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from setsolver.errors import BadInput, CatalogBusy, SetsolverError

__all__ = ["FAILURES", "check_index", "damage", "in_words", "is_busy", "read_only"]

_BUSY = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
_ELSEWHERE = {
    sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_PERM,
    sqlite3.SQLITE_NOMEM,
}
_PLAIN_CODE = 0xFF
"""Extended result codes carry the plain one in their low byte (SQLite, "Result and Error Codes")."""


FAILURES = (sqlite3.Error, UnicodeDecodeError)
"""What the module raises; the second where a damaged name stands in SQLite's own message, or in a text."""


def in_words(error: BaseException, file: Path) -> SetsolverError:
    """Return one of ``FAILURES`` for a person; only what is damaged is to be deleted."""
    if is_busy(error):
        return CatalogBusy(
            f"another program holds the index {str(file)!r} ({error}); wait until it is done, or stop it"
        )
    if _plain_code(error) in _ELSEWHERE:
        return BadInput(
            f"the index {str(file)!r} cannot be read or written ({error}); see that its folder and the files beside it "
            "are yours and that the disk has room; what was finished is kept"
        )
    return _damaged(file, error)


def is_busy(error: BaseException) -> bool:
    """Tell whether SQLite fails only because another holds the file."""
    return _plain_code(error) in _BUSY


def _plain_code(error: BaseException) -> int:
    return getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & _PLAIN_CODE


def damage(db: sqlite3.Connection, file: Path) -> SetsolverError | None:
    """Return what SQLite finds wrong with an open index, None where it is sound."""
    try:
        (found,) = db.execute("PRAGMA quick_check(1)").fetchone()
    except FAILURES as error:
        return in_words(error, file)
    return None if found == "ok" else _damaged(file, found)


def _damaged(file: Path, what: object) -> SetsolverError:
    return BadInput(
        f"the index {str(file)!r} cannot be used ({what}); if it is damaged, delete it and scan again "
        "(corrections kept in it are lost)"
    )


def read_only(file: Path) -> sqlite3.Connection:
    """Open an index without changing anything of it, on a disk that may not be written either.

    Raises
    ------
    sqlite3.Error
        Where it cannot be opened.
    """
    where = file.resolve().as_uri()
    for way in ("mode=ro", "immutable=1"):
        db = sqlite3.connect(f"{where}?{way}", uri=True, timeout=1.0, isolation_level=None)
        try:
            db.execute("SELECT count(*) FROM sqlite_master").fetchone()
        except sqlite3.OperationalError:
            db.close()
            if way == "immutable=1":
                raise
        except BaseException:
            db.close()
            raise
        else:
            return db
    raise AssertionError  # the last way returns or raises


def check_index(file: Path) -> None:
    """Refuse a database that is there and was not made here, before anything of it is changed.

    An index has a table of migrations and neither views nor triggers, which could do anything when they are asked.

    Raises
    ------
    BadInput
        Where it is somebody else's. sqlite3.Error : where it cannot be read at all.
    """
    if not file.exists() or file.stat().st_size == 0:
        return
    db = read_only(file)
    try:
        kinds = dict(db.execute("SELECT name, type FROM sqlite_master WHERE type != 'index'"))
        columns = {name for _, name, *_ in db.execute("PRAGMA table_info(migration)")}
    finally:
        db.close()
    if kinds and (columns != {"number", "name", "made"} or set(kinds.values()) != {"table"}):
        raise BadInput(
            f"{str(file)!r} is a database of some other program, and is left alone; take it out of that folder, then "
            "scan again"
        )
