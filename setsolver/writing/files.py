"""Files, whole or not at all, and never over what somebody else wrote."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from setsolver.errors import BadInput
from setsolver.interrupts import held
from setsolver.writing.parts import TAKEN, fill, force, force_file, hold, let_go, part_beside, sentences, sweep

__all__ = ["Ours", "aside", "claim", "refuse_taken", "write_new", "write_own"]

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
    with held(), sentences(path):
        sweep(path.parent)
        part = part_beside(path)
        try:
            fill(part, content)
            try:
                _claim(part, path)
            except FileExistsError:
                refuse_taken(path, ours)
                part.replace(path)
            force(path.parent)
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
    part = part_beside(path.absolute())
    with sentences(path):
        os.close(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666))
    lock = hold(part)
    try:
        yield part
    finally:
        let_go(lock)
        part.unlink(missing_ok=True)


def claim(part: Path, path: Path, ours: Ours | None = None) -> None:
    """Give a part its name, forced to the disk; a file that is there makes way only where ``ours`` says so.

    Raises
    ------
    BadInput
        Where the name is taken by anything else, or the disk fails.
    """
    with sentences(path):
        handle = os.open(part, os.O_RDWR)  # Windows forces only what may be written (FlushFileBuffers, GENERIC_WRITE)
        try:
            force_file(handle)
        finally:
            os.close(handle)
        try:
            _claim(part, path)
        except FileExistsError:
            refuse_taken(path, ours)
            part.replace(path)
        force(path.absolute().parent)


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
        raise BadInput(f"{path} {TAKEN}")


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


def _says(path: Path, ours: Ours) -> bool:
    try:
        return ours(path)
    except OSError:
        return False


def _nothing(_path: Path) -> bool:
    return False
