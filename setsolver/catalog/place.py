"""Where an index lies: in the catalog's folder, or in the user's cache folder where that may not be written."""

from __future__ import annotations

import hashlib
import os
import shutil
import sys
from pathlib import Path

from setsolver.catalog.listing import INDEX_FOLDER
from setsolver.errors import BadInput

__all__ = ["index_file", "user_cache"]

_FILE = "catalog.db"


def index_file(folder: Path) -> Path:
    """Return the file of a folder's index, its own folder made.

    An index that a read-only folder already holds is copied to the cache, so that nothing is measured twice.

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
        return inside / _FILE
    outside = user_cache() / _name(folder)
    if not _writable(outside):
        raise BadInput(
            f"neither {str(inside)!r} nor {str(outside)!r} can be written, and the index must lie somewhere; "
            "free one of them or set XDG_CACHE_HOME"
        )
    _bring(inside / _FILE, outside / _FILE)
    return outside / _FILE


def user_cache() -> Path:
    """Return the folder for caches of this user (XDG Base Directory Specification 0.8; platform custom elsewhere)."""
    if chosen := os.environ.get("XDG_CACHE_HOME"):
        return Path(chosen) / "setsolver"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches" / "setsolver"
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local")) / "setsolver" / "Cache"
    return Path.home() / ".cache" / "setsolver"


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
    if new.exists() or not old.is_file():
        return
    for ending in ("", "-wal"):
        source = old.with_name(old.name + ending)
        if source.is_file():
            shutil.copyfile(source, new.with_name(new.name + ending))
