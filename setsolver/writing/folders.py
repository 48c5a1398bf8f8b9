"""Folders, whole or not at all; an empty one of the same name makes way."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from setsolver.errors import BadInput
from setsolver.interrupts import held
from setsolver.writing.parts import TAKEN, fill, force, hold, let_go, part_beside, sentences, sweep

__all__ = ["building", "refuse_taken_folder", "write_folder"]


def write_folder(path: Path, files: Mapping[str, bytes]) -> None:
    """Write a folder with its files, all of it or nothing; an empty folder of that name makes way.

    Raises
    ------
    BadInput
        Where the name is taken, or something cannot be written; nothing is left then.
    """
    with held(), sentences(path), building(path) as part:
        for name, content in files.items():
            fill(part / name, content)


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
    with sentences(path):
        path.absolute().parent.mkdir(parents=True, exist_ok=True)
        sweep(path.absolute().parent)
        part = part_beside(path.absolute())
        part.mkdir()
    lock = hold(part)
    try:
        yield part
        with held(), sentences(path):
            force(part)
            with suppress(FileNotFoundError):
                path.rmdir()  # only where it is empty
            _name_folder(part, path)
            force(path.absolute().parent)
    finally:
        let_go(lock)
        shutil.rmtree(part, ignore_errors=True)


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
        raise BadInput(f"{path} {TAKEN}")
    with sentences(path):
        names = sorted(inside.name for inside in path.iterdir())
    if names:
        raise BadInput(
            f"{path} holds files already, such as {names[0]!r}, and is left alone; name a folder that is new"
        )


def _name_folder(part: Path, path: Path) -> None:
    """Give a folder its name; one of that name that holds anything is never replaced (POSIX rename, ENOTEMPTY)."""
    try:
        part.rename(path)
    except OSError as error:
        if os.path.lexists(path):
            raise FileExistsError(error.errno, "somebody else has just made it", str(path)) from error
        raise
