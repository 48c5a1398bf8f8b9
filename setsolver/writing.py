"""The one place that writes files for a user: whole or not at all, and never over what somebody else wrote.

A file or folder is made under a name of its own beside its place, forced to the disk, and only then given its name, in
one step that fails where the name is taken. What a killed process leaves is held by nobody and swept by the next that
writes in that folder. (Machine code and the index are kept by the libraries that own them.)
"""

from __future__ import annotations

import os
import re
import secrets
import shutil
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from setsolver.errors import BadInput
from setsolver.interrupts import held

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

__all__ = [
    "alone_in",
    "aside",
    "building",
    "claim",
    "refuse_taken",
    "refuse_taken_folder",
    "write_folder",
    "write_new",
    "write_own",
]

_PART = re.compile(r"\.setsolver-[0-9a-f]{16}\.part")
_FRESH_SECONDS = 2.0
"""A part that young may not be locked yet by whoever makes it."""
_STALE_SECONDS = 3600.0
"""Where nothing can be locked, a part of this age belongs to nobody."""
_WAY_OUT = "name a place that you may write to"
_TAKEN = "exists already and is not overwritten; choose another name, or remove it first"
Ours = Callable[[Path], bool]
"""Tells by its content whether a file was written by this tool."""


def write_new(path: Path, content: bytes) -> None:
    """Write a file that must not exist yet.

    Raises
    ------
    BadInput
        Where the name is taken, or the file cannot be written; nothing is left then.
    """
    write_own(path, content, _nothing)


def write_own(path: Path, content: bytes, ours: Ours) -> None:
    """Write a file; one that is there already is replaced only where ``ours`` says that this tool wrote it.

    Raises
    ------
    BadInput
        Where the name is taken by anything else, or the file cannot be written; what was there is there still.
    """
    refuse_taken(path, ours)
    with held(), _sentences(path):
        _sweep(path.parent)
        part = _part(path)
        try:
            _fill(part, content)
            try:
                _claim(part, path)
            except FileExistsError:
                refuse_taken(path, ours)
                part.replace(path)
            _force(path.parent)
        finally:
            part.unlink(missing_ok=True)


@contextmanager
def aside(path: Path) -> Iterator[Path]:
    """Yield the name of an empty part beside a file, for a library to fill; what ``claim`` gave no name is gone after.

    It is held until then, so that nobody sweeps it away.

    Raises
    ------
    BadInput
        Where the folder cannot be written.
    """
    part = _part(path.absolute())
    with _sentences(path):
        os.close(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666))
    lock = _lock(part)
    try:
        yield part
    finally:
        _unlock(lock)
        part.unlink(missing_ok=True)


@contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """Wait until no other process is in this block with the same folder; where nothing can be locked, go on.

    For what is read, changed and written back: each write is whole by itself already.

    Raises
    ------
    BadInput
        Where there is no such folder.
    """
    with _sentences(folder):
        handle = os.open(folder, os.O_RDONLY) if fcntl is not None else None
    try:
        if handle is not None and fcntl is not None:
            with suppress(OSError):  # some network disks have no locks
                fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        _unlock(handle)


def claim(part: Path, path: Path, ours: Ours | None = None) -> None:
    """Give a part its name, forced to the disk; a file that is there makes way only where ``ours`` says so.

    Raises
    ------
    BadInput
        Where the name is taken by anything else, or the disk fails.
    """
    with _sentences(path):
        handle = os.open(part, os.O_RDWR)  # Windows forces only what may be written (FlushFileBuffers, GENERIC_WRITE)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
        try:
            _claim(part, path)
        except FileExistsError:
            refuse_taken(path, ours)
            part.replace(path)
        _force(path.absolute().parent)


def refuse_taken(path: Path, ours: Ours | None = None) -> None:
    """Refuse a name that is taken by something that this tool did not write.

    Raises
    ------
    BadInput
        Where it is taken; a link counts as taken wherever it leads.
    """
    if not os.path.lexists(path):
        return
    if ours is None or path.is_symlink() or not path.is_file() or not _says(path, ours):
        raise BadInput(f"{path} {_TAKEN}")


def refuse_taken_folder(path: Path) -> None:
    """Refuse a folder that cannot be made as a whole, because something is there.

    Raises
    ------
    BadInput
        Where the name is taken by anything but an empty folder.
    """
    if not os.path.lexists(path):
        return
    if path.is_symlink() or not path.is_dir():
        raise BadInput(f"{path} {_TAKEN}")
    with _sentences(path):
        names = sorted(inside.name for inside in path.iterdir())
    if names:
        raise BadInput(
            f"{path} holds files already, such as {names[0]!r}, and is left alone; name a folder that is new"
        )


def write_folder(path: Path, files: Mapping[str, bytes]) -> None:
    """Write a folder with its files, all of it or nothing; an empty folder of that name makes way.

    Raises
    ------
    BadInput
        Where the name is taken, or something cannot be written; nothing is left then.
    """
    with held(), _sentences(path), building(path) as part:
        for name, content in files.items():
            _fill(part / name, content)


@contextmanager
def building(path: Path) -> Iterator[Path]:
    """Yield an empty folder to fill; it gets its name, whole, when the block ends without an error, else it is gone.

    For what is too large to be held at once (``write_folder``). It is held until then, so that nobody sweeps it away.

    Raises
    ------
    BadInput
        Where the name is taken by anything but an empty folder, or the folder cannot be made.
    """
    refuse_taken_folder(path)
    with _sentences(path):
        path.absolute().parent.mkdir(parents=True, exist_ok=True)
        _sweep(path.absolute().parent)
        part = _part(path.absolute())
        part.mkdir()
    lock = _lock(part)
    try:
        yield part
        with held(), _sentences(path):
            _force(part)
            with suppress(FileNotFoundError):
                path.rmdir()  # only where it is empty
            _name_folder(part, path)
            _force(path.absolute().parent)
    finally:
        _unlock(lock)
        shutil.rmtree(part, ignore_errors=True)


def _name_folder(part: Path, path: Path) -> None:
    """Give a folder its name; one of that name that holds anything is never replaced (POSIX rename, ENOTEMPTY)."""
    try:
        part.rename(path)
    except OSError as error:
        if os.path.lexists(path):
            raise FileExistsError(error.errno, "somebody else has just made it", str(path)) from error
        raise


def _part(path: Path) -> Path:
    return path.with_name(f".setsolver-{secrets.token_hex(8)}.part")


def _fill(path: Path, content: bytes) -> None:
    """Write a new file and force it to the disk, held by a lock until then."""
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    with os.fdopen(handle, "wb") as file:
        if fcntl is not None:
            with suppress(OSError):  # some network disks have no locks
                fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _claim(part: Path, path: Path) -> None:
    """Give a file its name, which fails where the name is taken.

    Raises
    ------
    FileExistsError
        Where it is.
    """
    if os.name == "nt":
        part.rename(path)  # never replaces there
        return
    try:
        os.link(part, path)
    except FileExistsError:
        raise
    except OSError:  # a disk without hard links (FAT, some network disks): take the name first, then fill it
        os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666))
        part.replace(path)


def _force(folder: Path) -> None:
    """Force a folder's names to the disk, where the system has a way to ask for it."""
    if os.name == "nt":
        return
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _lock(path: Path) -> int | None:
    """Hold a file or folder until ``_unlock`` or until this process ends, however; None where that cannot be had."""
    if fcntl is None:
        return None
    handle = os.open(path, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(handle)
        return None
    return handle


def _unlock(handle: int | None) -> None:
    if handle is not None:
        os.close(handle)


def _sweep(folder: Path) -> None:
    """Remove what killed processes left in a folder: parts by their name that nobody holds."""
    with suppress(OSError):
        for part in list(folder.iterdir()):
            if _PART.fullmatch(part.name) and not part.is_symlink():
                with suppress(OSError):
                    _sweep_one(part, time.time() - part.stat().st_mtime)


def _sweep_one(part: Path, age: float) -> None:
    lock = _lock(part) if age > _FRESH_SECONDS else None
    if lock is None and age < _STALE_SECONDS:
        return
    if part.is_dir():
        shutil.rmtree(part, ignore_errors=True)
    else:
        part.unlink(missing_ok=True)
    _unlock(lock)


def _says(path: Path, ours: Ours) -> bool:
    try:
        return ours(path)
    except OSError:
        return False


def _nothing(_path: Path) -> bool:
    return False


@contextmanager
def _sentences(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise BadInput(f"cannot write {path}: {error.strerror or error}; {_WAY_OUT}") from error
