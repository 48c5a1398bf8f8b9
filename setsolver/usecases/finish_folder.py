"""The folder of a finish: new, or one of the same job that is taken up again; never one that holds anything else."""

from __future__ import annotations

import json
from pathlib import Path

from pydantic import ValidationError

from setsolver.catalog.digest import whole_digest
from setsolver.domain.finish import Finish, FinishedPrint
from setsolver.errors import BadInput
from setsolver.writing import write_own

__all__ = ["FINISH_FILE", "kept", "load_finish", "prepare", "write_finish"]

FINISH_FILE = "finish.json"


def prepare(out: Path, catalog: Path) -> None:
    """Make the folder, or see that one that is there was made by a finish.

    Raises
    ------
    BadInput
        Where it is in the catalog, holds other files, or cannot be made.
    """
    if out.resolve().is_relative_to(catalog.resolve()):
        raise BadInput(
            f"{out} lies in the catalog {catalog}, and prints there would be taken for frames; name a folder elsewhere "
            "with --out"
        )
    if out.exists() and not out.is_dir():
        raise BadInput(f"{out} is a file; name a folder with --out")
    if out.is_dir() and not (out / FINISH_FILE).is_file() and any(not _ours(name.name) for name in out.iterdir()):
        raise BadInput(f"{out} holds other files and is left alone; name a new folder with --out")
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(f"cannot make the folder {out}: {error.strerror}; name another with --out") from error


def _ours(name: str) -> bool:
    return name.startswith(".setsolver-") and name.endswith(".part")


def load_finish(out: Path) -> Finish | None:
    """Return what a folder's document says, None where there is none.

    Raises
    ------
    BadInput
        Where the document is of another kind or version.
    """
    file = out / FINISH_FILE
    if not file.is_file():
        return None
    try:
        return Finish.model_validate_json(file.read_bytes())
    except (OSError, ValidationError) as error:
        raise BadInput(f"{file} is no document that this version reads; name a new folder with --out") from error


def kept(out: Path, job: str) -> dict[int, FinishedPrint]:
    """Return the prints of the same job that are there, whole, by number.

    Raises
    ------
    BadInput
        Where the folder holds the prints of another job.
    """
    before = load_finish(out)
    if before is None:
        return {}
    if before.job != job:
        raise BadInput(
            f"{out} holds prints of {before.brief!r} made on {before.made[:16]} from another set or with other "
            "options; name a new folder with --out"
        )
    return {made.number: made for made in before.prints if _whole(out / made.file, made.digest)}


def _whole(file: Path, digest: str) -> bool:
    try:
        with file.open("rb") as stream:
            return whole_digest(stream).hex() == digest
    except OSError:
        return False


def _is_finish(file: Path) -> bool:
    """Tell whether a file is a finish's document, by its content."""
    try:
        return bool(json.loads(file.read_bytes()).get("format") == "setsolver/finish")
    except (ValueError, AttributeError):
        return False


def write_finish(out: Path, finish: Finish) -> None:
    """Write the document whole."""
    document = json.dumps(finish.model_dump(mode="json"), indent=1, ensure_ascii=True, allow_nan=False)
    write_own(out / FINISH_FILE, document.encode(), _is_finish)
