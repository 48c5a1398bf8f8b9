"""An open SQLite file: in WAL mode, one transaction for each write, one scan at a time, failures told in words."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Self

from setsolver.catalog.faults import FAILURES, check_index, damage, in_words, is_busy
from setsolver.catalog.migrations import migrate
from setsolver.errors import BadInput, CatalogBusy, SetsolverError

__all__ = ["Database"]

_PATIENCE = 30.0
"""Seconds to wait for another writer's batch."""

_AGAIN = 0.02
"""Seconds between two tries of what SQLite itself does not wait for."""


class Database:
    """An open index, brought up to date. Use as a context manager.

    Where SQLite fails within the block, that is told in words.
    """

    def __init__(self, file: Path) -> None:
        self.file = file
        try:
            check_index(file)
            self._db = sqlite3.connect(file, timeout=_PATIENCE, isolation_level=None)
            _write_ahead(self._db)
            self._db.execute("PRAGMA synchronous = NORMAL")
            self._db.execute("PRAGMA foreign_keys = ON")
            migrate(self._db)
        except FAILURES as error:
            self._close_half_open()
            raise in_words(error, file) from error
        except BadInput:
            self._close_half_open()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(self, _kind: object, error: BaseException | None, _trace: object) -> None:
        said = None
        if isinstance(error, FAILURES):  # full or failing disk, a lock that is not given up, damage
            said = in_words(error, self.file)
        elif isinstance(error, Exception) and not isinstance(error, SetsolverError):
            said = damage(self._db, self.file)  # rows that no version wrote make anything fail
        self.close()
        if said is not None:
            raise said from error

    def close(self) -> None:
        """Close the file; what was committed stays."""
        self._db.close()

    @contextmanager
    def scanning(self) -> Iterator[None]:
        """Hold the index for one scan; the operating system frees it when the process ends, however it ends.

        Raises
        ------
        CatalogBusy
            Where another scan holds it.
        """
        place = self.file.with_name("scan.lock")
        try:
            lock = sqlite3.connect(place, timeout=0.0, isolation_level=None)
        except sqlite3.Error as error:
            raise in_words(error, place) from error
        try:
            try:
                lock.execute("BEGIN EXCLUSIVE")
            except sqlite3.Error as error:
                told = in_words(error, place)
                if not isinstance(told, CatalogBusy):
                    raise told from error
                raise CatalogBusy(
                    f"another scan is writing {str(self.file)!r}; wait until it is done, or stop it, and scan again"
                ) from error
            yield
        finally:
            lock.close()

    @contextmanager
    def reading(self) -> Iterator[None]:
        """See the index as it is now until the end of the block, whatever others write."""
        self._db.execute("BEGIN")
        try:
            yield
        finally:
            self._db.execute("ROLLBACK")

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        self._db.execute("BEGIN IMMEDIATE")
        try:
            yield
        except BaseException:
            if self._db.in_transaction:  # a full disk has ended it already
                self._db.execute("ROLLBACK")
            raise
        self._db.execute("COMMIT")

    def _close_half_open(self) -> None:
        if hasattr(self, "_db"):
            self._db.close()


def _write_ahead(db: sqlite3.Connection) -> None:
    """Turn an index to WAL mode, which stays with the file; one that is in it already is not locked for this.

    SQLite's own patience does not cover the turn where another is about to write in the mode before, as whoever makes
    the index at the same moment is: it says at once that the file is locked.
    """
    until = time.monotonic() + _PATIENCE
    while True:
        try:
            db.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as error:
            if not is_busy(error) or time.monotonic() >= until:
                raise
            time.sleep(_AGAIN)
        else:
            return
