"""Which catalog some files belong to, and what they are called in it."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Sequence
from os.path import commonpath
from pathlib import Path

from setsolver.catalog.paths import to_text
from setsolver.catalog.place import has_index
from setsolver.domain.names import same_name
from setsolver.errors import BadInput
from setsolver.rules.words import nearest

__all__ = ["home_of", "own_path", "paths_in"]


def home_of(files: Sequence[Path], ask: Callable[[Path], bool] | None = None) -> Path:
    """Return the nearest folder above all files that was scanned before, or else theirs, where that may be measured.

    Nothing is measured in a folder that nobody named: what else lies beside the files may be a stranger's.

    Parameters
    ----------
    ask : told the folder that all files lie in where none above them was scanned, returns whether to measure it; None =
        there is nobody to be asked.

    Raises
    ------
    BadInput
        Where a file does not exist, or no folder above them was scanned and theirs is not to be.
    """
    for file in files:
        if not file.is_file():
            raise BadInput(
                f"{file} is not a file here; name the photographs of the set as they lie on the disk, or their catalog "
                "with --catalog"
            )
    try:
        common = Path(commonpath([str(file.resolve().parent) for file in files]))
    except ValueError as error:  # Windows: disks have nothing in common
        raise BadInput(
            f"{files[0]} and others lie on different disks; name photographs of one catalog, or it with --catalog"
        ) from error
    home = next((folder for folder in (common, *common.parents) if has_index(folder)), None)
    if home is None and ask is not None and ask(common):
        return common
    if home is None:
        raise BadInput(
            f"no folder above these files was scanned yet, and {common} holds other files, too; say with "
            f"--catalog which folder to measure, such as --catalog {common}"
        )
    return home


def own_path(folder: Path, path: str, known: Collection[str]) -> str | None:
    """Return a frame's path in the catalog, of one in it or one that leads to it on the disk; None where none does.

    Accents count as the same in either form: a disk of macOS finds a file under both.
    """
    if (own := same_name(path, known)) is not None:
        return own
    for base in (folder, Path()):
        try:
            way = os.path.relpath(base / path, folder)
        except ValueError:  # Windows: no way leads from one disk to another
            continue
        if (own := same_name(to_text(Path(way).as_posix()), known)) is not None:
            return own
    return None


def paths_in(home: Path, files: Sequence[Path], known: Collection[str]) -> list[str]:
    """Return the paths in a catalog of files named by it or by their place on the disk, links followed.

    Raises
    ------
    BadInput
        Where a file is not in the catalog.
    """
    return [_path_in(home, file, known) for file in files]


def _path_in(home: Path, file: Path, known: Collection[str]) -> str:
    ways = (own_path(home, str(file), known), own_path(home.resolve(), str(file.resolve()), known))
    found = next((way for way in ways if way is not None), None)
    if found is None:
        near = nearest(str(file), known)
        raise BadInput(f"{file} is not in the catalog {home}{near or '; name the right one with --catalog'}")
    return found
