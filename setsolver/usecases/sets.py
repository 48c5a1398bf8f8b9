"""Set folders: where an outcome is written, and how ``SET`` on the command line finds one again."""

from __future__ import annotations

import os
import re
import tempfile
from datetime import datetime
from pathlib import Path

from pydantic import ValidationError

from setsolver.catalog.listing import OUTCOME_FILE
from setsolver.domain.outcome import Outcome, SetFound
from setsolver.errors import BadInput

__all__ = ["load_outcome", "load_set", "new_folder", "write_atomically"]


def new_folder(brief_name: str, out: Path | None, now: datetime | None = None) -> Path:
    """Make and return the folder of an outcome: ``out``, or ``sets/BRIEF-DATE`` under the current one.

    A name that is taken gets -2, -3, ..., so that no earlier outcome is overwritten; an ``out`` given by the user is
    used as it is, unless it holds an outcome already.

    Raises
    ------
    BadInput
        Where the folder cannot be made, or holds an outcome.
    """
    if out is None:
        day = (now or datetime.now().astimezone()).strftime("%Y-%m-%d")
        stem = f"{re.sub(r'[^A-Za-z0-9_-]+', '-', brief_name)}-{day}"
        out = _free(Path("sets") / stem)
    elif (out / OUTCOME_FILE).exists():
        raise BadInput(f"{out} holds an outcome already; name another folder with --out, or remove this one first")
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(f"cannot make the folder {out}: {error.strerror}; name another with --out") from error
    return out


def _free(wanted: Path) -> Path:
    found, number = wanted, 1
    while found.exists():
        number += 1
        found = wanted.with_name(f"{wanted.name}-{number}")
    return found


def write_atomically(path: Path, content: bytes) -> None:
    """Write a file whole or not at all: to a neighbour first, then renamed over.

    Raises
    ------
    BadInput
        Where the folder cannot be written.
    """
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}-")
    except OSError as error:
        raise BadInput(f"cannot write {path}: {error.strerror}; name another folder with --out") from error
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        Path(name).chmod(0o644)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def load_outcome(path: Path) -> Outcome:
    """Read an outcome from its folder or file.

    Raises
    ------
    BadInput
        Where there is none, or the document is not of this format and version.
    """
    file = path / OUTCOME_FILE if path.is_dir() else path
    try:
        return Outcome.model_validate_json(file.read_bytes())
    except FileNotFoundError as error:
        raise BadInput(
            f"{path}: no outcome here; name a folder made by `setsolver suggest`, or its outcome.json"
        ) from error
    except OSError as error:
        raise BadInput(f"{path}: cannot be read: {error.strerror}") from error
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"]) or "the document"
        raise BadInput(
            f"{file}: not an outcome that this version reads ({where}: {first['msg']}); "
            "make it again with `setsolver suggest`"
        ) from error


def load_set(reference: str) -> tuple[Outcome, SetFound]:
    """Read one set: ``FOLDER``, ``FOLDER/outcome.json``, either with ``#2`` for the second set.

    Raises
    ------
    BadInput
        Where the outcome or the set's number does not exist.
    """
    text, mark, number = reference.rpartition("#")
    if not mark or not number.isdigit():
        text, number = reference, "1"
    outcome = load_outcome(Path(text))
    if not outcome.sets:
        raise BadInput(f"{text}: this outcome holds no set (status {outcome.status})")
    if not 1 <= int(number) <= len(outcome.sets):
        raise BadInput(f"{text}: there is no set {number}; it holds {len(outcome.sets)}, the first is #1")
    return outcome, outcome.sets[int(number) - 1]
