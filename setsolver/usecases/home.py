"""Which catalog some files belong to, and what they are called in it."""

from __future__ import annotations

from collections.abc import Sequence
from os.path import commonpath
from pathlib import Path

from setsolver.catalog.listing import INDEX_FOLDER
from setsolver.catalog.paths import to_text
from setsolver.errors import BadInput

__all__ = ["home_of", "paths_in"]


def home_of(files: Sequence[Path]) -> Path:
    """Return the nearest folder above all files that has an index, else the folder that holds them all.

    Raises
    ------
    BadInput
        Where a file does not exist.
    """
    for file in files:
        if not file.is_file():
            raise BadInput(f"{file} is not a file; name the photographs of the set")
    parents = [str(file.resolve().parent) for file in files]
    common = Path(commonpath(parents))
    return next((folder for folder in (common, *common.parents) if (folder / INDEX_FOLDER).is_dir()), common)


def paths_in(home: Path, files: Sequence[Path]) -> list[str]:
    """Return the files' paths in a catalog, with forward slashes.

    Raises
    ------
    BadInput
        Where a file is outside the catalog.
    """
    root = home.resolve()
    names = []
    for file in files:
        whole = file.resolve()
        if not whole.is_relative_to(root):
            raise BadInput(f"{file} is not inside the catalog {home}; name the right one with --catalog")
        names.append(to_text(str(whole.relative_to(root))))
    return names
