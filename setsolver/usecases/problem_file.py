"""Problem files: one .npz of plain arrays written whole or not at all, read without pickle."""

from __future__ import annotations

import os
import tempfile
import zipfile
import zlib
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from setsolver.domain.problem import Problem
from setsolver.errors import BadInput, BadProblem

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["load", "save"]


def save(problem: Problem, path: Path | str) -> None:
    """Write a problem to ``path``, to a neighbour first that is then renamed over it.

    Raises
    ------
    BadInput
        Where the file cannot be written; nothing is left half-written.
    """
    path, neighbour = Path(path), ""
    try:
        handle, neighbour = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}-")
        with os.fdopen(handle, "wb") as file:
            arrays: dict[str, Any] = problem.to_arrays()
            np.savez_compressed(file, **arrays)
        Path(neighbour).chmod(0o644)
        Path(neighbour).replace(path)
    except BaseException as error:
        if neighbour:
            Path(neighbour).unlink(missing_ok=True)
        if isinstance(error, OSError):
            raise BadInput(
                f"cannot write {path}: {error.strerror}; name a file in a folder you may write to"
            ) from error
        raise


def load(path: Path | str) -> Problem:
    """Read a problem.

    Raises
    ------
    BadInput
        A file that is missing, unreadable, no .npz, cut short, or holds pickled objects.
    BadProblem
        Arrays that do not make a problem, with the key and the index.
    """
    try:
        return Problem.from_arrays(_arrays(Path(path)))
    except BadProblem as error:
        raise BadProblem(f"{path}: {error}") from error


def _arrays(path: Path) -> dict[str, NDArray[Any]]:
    hint = "write one with numpy.savez or `setsolver suggest --save-problem`"
    try:
        with path.open("rb") as stream:
            file = np.load(stream, allow_pickle=False)
            if not isinstance(file, np.lib.npyio.NpzFile):
                raise BadInput(f"{path}: a single array and not a problem file (.npz with one array a key); {hint}")
            with file:
                return {key: file[key] for key in file.files}
    except OSError as error:
        if error.strerror is None:
            raise BadInput(f"{path}: not a problem file (.npz); {hint}") from error
        raise BadInput(f"cannot read {path}: {error.strerror}; name a problem file (.npz)") from error
    except (zipfile.BadZipFile, zlib.error, EOFError) as error:
        raise BadInput(f"{path}: a damaged problem file ({error}); {hint}") from error
    except ValueError as error:  # numpy's word for pickles, and for files that are neither zip nor array
        if "Object arrays" in str(error):
            raise BadInput(
                f"{path}: holds Python objects, which are not read because they can run code; {hint}"
            ) from error
        raise BadInput(f"{path}: not a problem file (.npz); {hint}") from error
    except MemoryError as error:
        raise BadInput(f"{path}: claims arrays larger than memory; {hint}") from error
