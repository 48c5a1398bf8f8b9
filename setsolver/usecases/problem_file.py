"""Problem files: one .npz of plain arrays written whole or not at all, read without pickle."""

from __future__ import annotations

import io
import struct
import tokenize
import zipfile
import zlib
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from setsolver.domain.problem import Problem
from setsolver.errors import BadInput, BadProblem
from setsolver.writing import write_own

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["is_problem", "load", "save"]


_MOST_BYTES = 4_000_000_000
"""Of unpacked arrays; 100,000 renditions of 1,500 dimensions of variety have 1.2."""
_DAMAGE = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    EOFError,
    NotImplementedError,
    RuntimeError,  # encrypted, or nested too deep
    SyntaxError,  # numpy reads the heads of arrays as Python literals
    tokenize.TokenError,
    TypeError,
    OverflowError,
)
"""What zipfile and numpy raise over a damaged archive, beside ``ValueError``."""
_MARK = b"setsolver/problem"
"""The comment of a problem file's zip archive (APPNOTE.TXT 6.3.10, 4.3.16: the last bytes): who wrote it."""


def save(problem: Problem, path: Path | str) -> None:
    """Write a problem to ``path``; only a problem file that was written here is ever replaced.

    Raises
    ------
    BadInput
        Where the file cannot be written, or is there and is something else; nothing is left half-written.
    """
    whole = io.BytesIO()
    arrays: dict[str, Any] = problem.to_arrays()
    np.savez_compressed(whole, **arrays)
    with zipfile.ZipFile(whole, "a") as archive:
        archive.comment = _MARK
    write_own(Path(path), whole.getvalue(), is_problem)


def is_problem(path: Path) -> bool:
    """Tell whether a file was written by ``save``.

    Raises
    ------
    OSError
        Where it cannot be read.
    """
    with path.open("rb") as stream:
        head = stream.read(4)
        stream.seek(max(0, stream.seek(0, io.SEEK_END) - len(_MARK)))
        return head == b"PK\3\4" and stream.read() == _MARK


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
                _check_size(path, file.zip, hint)
                return {key: file[key] for key in file.files}
    except OSError as error:
        if error.strerror is None:
            raise BadInput(f"{path}: not a problem file (.npz); {hint}") from error
        raise BadInput(f"cannot read {path}: {error.strerror}; name a problem file (.npz)") from error
    except _DAMAGE as error:
        raise BadInput(f"{path}: a damaged problem file ({error}); {hint}") from error
    except ValueError as error:  # numpy's word for pickles, and for files that are neither zip nor array
        if "Object arrays" in str(error):
            raise BadInput(
                f"{path}: holds Python objects, which are not read because they can run code; {hint}"
            ) from error
        raise BadInput(f"{path}: not a problem file (.npz); {hint}") from error
    except MemoryError as error:
        raise BadInput(f"{path}: claims arrays larger than memory; {hint}") from error


def _check_size(path: Path, archive: zipfile.ZipFile | None, hint: str) -> None:
    """Refuse what would unpack to more than memory: zeros pack a thousand to one."""
    whole = sum(entry.file_size for entry in archive.infolist()) if archive else 0
    if whole > _MOST_BYTES:
        raise BadInput(
            f"{path}: claims {whole / 1e9:.1f} GB of arrays, more than the {_MOST_BYTES / 1e9:.0f} read; {hint}"
        )
