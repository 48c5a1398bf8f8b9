"""Where an index lies: in the catalog's folder, or in the user's cache folder where that may not be written."""

from __future__ import annotations

import hashlib
import os
import shutil
import sqlite3
from contextlib import closing, suppress
from pathlib import Path

from platformdirs import user_cache_path

from setsolver.catalog.faults import FAILURES, check_index
from setsolver.catalog.listing import INDEX_FOLDER
from setsolver.errors import BadInput

__all__ = ["has_index", "index_file", "other_index", "user_cache"]

_FILE, _OLD_FILE = "index.db", "catalog.db"
"""The second is what version 0.1 called it."""


def index_file(folder: Path) -> Path:
    """Return the file of a folder's index, its own folder made.

    An index that a read-only folder already holds is copied to the cache, so that nothing is measured twice. One under
    its old name gets the new one as soon as nobody uses it.

    Raises
    ------
    BadInput
        Where the folder is none, or neither place can be written.
    """
    if not folder.is_dir():
        what = "is not a folder" if folder.exists() else "does not exist"
        raise BadInput(f"{str(folder)!r} {what}; name a folder of photographs")
    inside = folder / INDEX_FOLDER
    if _writable(inside):
        return _renamed(inside)
    try:
        outside = user_cache() / _name(folder)
    except BadInput as error:
        raise BadInput(f"{str(inside)!r} cannot be written, and {error}") from error
    if not _writable(outside):
        raise BadInput(
            f"neither {str(inside)!r} nor {str(outside)!r} can be written, and the index must lie somewhere; "
            "free one of them or set XDG_CACHE_HOME"
        )
    found = _renamed(outside)
    source = _there(inside)
    if source is not None:
        _bring(source, found)
    return found


def other_index(folder: Path, file: Path) -> Path | None:
    """Return the index of the folder that is not in use, ``file`` being the one that is; None where there is none."""
    inside = folder / INDEX_FOLDER
    if file.parent != inside:
        return _there(inside)
    try:
        return _there(user_cache() / _name(folder))
    except BadInput:  # without a cache folder there is nothing in it
        return None


def has_index(folder: Path) -> bool:
    """Tell whether a folder was scanned before; nothing is made."""
    inside = folder / INDEX_FOLDER
    return _there(inside) is not None or other_index(folder, inside / _FILE) is not None


def user_cache() -> Path:
    """Return the folder for caches of this user (XDG Base Directory Specification 0.8; platform custom elsewhere).

    Raises
    ------
    BadInput
        Where the system knows of no home folder for this user.
    """
    chosen = Path(os.environ.get("XDG_CACHE_HOME") or "")
    if chosen.is_absolute():
        return chosen / "setsolver"
    none = "this user has no home folder to keep a cache in; set HOME or XDG_CACHE_HOME"
    try:
        found = user_cache_path("setsolver", appauthor=False)
    except RuntimeError as error:  # older versions of platformdirs give a relative path instead
        raise BadInput(none) from error
    if not found.is_absolute():
        raise BadInput(none)
    return found


def _there(where: Path) -> Path | None:
    return next((where / name for name in (_FILE, _OLD_FILE) if (where / name).is_file()), None)


def _renamed(where: Path) -> Path:
    """Return the index of a folder under its new name, or the old one while that is in use or no index of ours."""
    new, old = where / _FILE, where / _OLD_FILE
    if new.exists() or old.is_symlink() or not old.is_file():
        return new
    try:
        check_index(old)
        with closing(sqlite3.connect(old, timeout=0.0, isolation_level=None)) as db:
            if db.execute("PRAGMA journal_mode = DELETE").fetchone() != ("delete",):  # all of it in one file
                return old
        old.rename(new)
    except (*FAILURES, BadInput, OSError):
        return new if new.exists() else old
    return new


def _name(folder: Path) -> str:
    """Return a name for a folder's index: readable, and different for every real path."""
    real = folder.resolve()
    digest = hashlib.sha256(os.fsencode(real)).hexdigest()[:16]
    plain = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in real.name)
    return f"{plain[:40]}-{digest}"


def _writable(where: Path) -> bool:
    """Tell by trying: permission bits say nothing about read-only disks, nor to a privileged user."""
    probe = where / f".probe-{os.getpid()}"
    try:
        where.mkdir(parents=True, exist_ok=True)
        probe.touch()
        probe.unlink()
    except OSError:
        return False
    return True


def _bring(old: Path, new: Path) -> None:
    """Copy an index that may only be read, whole or not at all; one that cannot be read is left where it is."""
    if new.exists():
        return
    part = new.with_name(f".bring-{os.getpid()}")
    logs = [part.with_name(part.name + ending) for ending in ("-wal", "-shm")]
    try:
        check_index(old)
        for ending in ("", "-wal"):
            source = old.with_name(old.name + ending)
            if source.is_file():
                shutil.copyfile(source, part.with_name(part.name + ending))
        with closing(sqlite3.connect(part, isolation_level=None)) as db:
            db.execute("PRAGMA journal_mode = DELETE").fetchone()
        os.link(part, new)  # fails where another process was quicker
    except (*FAILURES, BadInput, OSError):
        return  # all is measured again, and the scan says why corrections could not be taken over
    finally:
        for left in (part, *logs):
            with suppress(OSError):
                left.unlink(missing_ok=True)
