"""Parts: what is being written lies under a name of its own, held by a lock, until it is whole.

What a killed process leaves is held by nobody and swept by the next that writes in that folder.
"""

from __future__ import annotations

import os
import re
import secrets
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from setsolver.errors import BadInput

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

__all__ = ["TAKEN", "alone_in", "fill", "force", "force_file", "hold", "let_go", "part_beside", "sentences", "sweep"]

_PART = re.compile(r"\.setsolver-[0-9a-f]{16}\.part")
_FRESH_SECONDS = 2.0
"""A part that young may not be locked yet by whoever makes it."""
_STALE_SECONDS = 3600.0
"""Where nothing can be locked, a part of this age belongs to nobody."""
_WAY_OUT = "name a place that you may write to"
TAKEN = "exists already and is not overwritten; choose another name, or remove it first"


def part_beside(path: Path) -> Path:
    """Return a name of its own beside a file or folder; nothing is made."""
    return path.with_name(f".setsolver-{secrets.token_hex(8)}.part")


def fill(path: Path, content: bytes) -> None:
    """Write a new file and force it to the disk, held by a lock until then."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    with os.fdopen(handle, "wb") as file:
        if fcntl is not None:
            with suppress(OSError):  # some network disks have no locks
                fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        file.write(content)
        file.flush()
        force_file(file.fileno())


def force_file(handle: int) -> None:
    """Force a file's content to the disk, through the disk's own memory where the system has a way to ask for it.

    macOS leaves it there otherwise (fsync(2) there names F_FULLFSYNC for that); some disks refuse to be asked.
    """
    if fcntl is not None and hasattr(fcntl, "F_FULLFSYNC"):
        try:
            fcntl.fcntl(handle, fcntl.F_FULLFSYNC)
        except OSError:
            os.fsync(handle)
    else:
        os.fsync(handle)


def hold(path: Path) -> int | None:
    """Hold a file or folder until ``let_go`` or until this process ends, however; None where that cannot be had."""
    if fcntl is None:
        return None
    handle = os.open(path, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(handle)
        return None
    return handle


def let_go(handle: int | None) -> None:
    """End what ``hold`` began."""
    if handle is not None:
        os.close(handle)


@contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Wait until no other process is in this block with the same folder; where nothing can be locked, go on.

    For what is read, changed and written back: each write is whole by itself already.

    Raises
    ------
    BadInput
        Where there is no such folder.
    """
    with sentences(folder):
        handle = os.open(folder, os.O_RDONLY) if fcntl is not None else None
    try:
        if handle is not None and fcntl is not None:
            with suppress(OSError):  # some network disks have no locks
                fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        let_go(handle)


def sweep(folder: Path) -> None:
    """Remove what killed processes left in a folder: parts by their name that nobody holds."""
    with suppress(OSError):
        for part in list(folder.iterdir()):
            if _PART.fullmatch(part.name) and not part.is_symlink():
                with suppress(OSError):
                    _sweep_one(part, time.time() - part.stat().st_mtime)


def _sweep_one(part: Path, age: float) -> None:
    lock = hold(part) if age > _FRESH_SECONDS else None
    if lock is None and age < _STALE_SECONDS:
        return
    if part.is_dir():
        shutil.rmtree(part, ignore_errors=True)
    else:
        part.unlink(missing_ok=True)
    let_go(lock)


def force(folder: Path) -> None:
    """Force a folder's names to the disk, where the system has a way to ask for it."""
    if os.name == "nt":
        return
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


@contextmanager
def sentences(path: Path) -> Iterator[None]:
    """Within the block, say what the system refuses as a sentence about a path."""
    try:
        yield
    except OSError as error:
        raise BadInput(f"cannot write {path}: {error.strerror or error}; {_WAY_OUT}") from error
