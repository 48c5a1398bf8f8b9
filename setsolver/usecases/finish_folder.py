"""The folder of a finish: new, or one of the same job that is taken up again; never one that holds anything else."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

from pydantic import ValidationError
from xxhash import xxh3_128

from setsolver.catalog.digest import whole_digest
from setsolver.domain.finish import FileMade, Finish, FinishedPrint, Hook, NotFinished
from setsolver.errors import BadInput
from setsolver.writing import write_own

__all__ = ["FINISH_FILE", "Folder", "kept", "load_finish", "prepare", "put", "write_finish"]

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


def kept(out: Path, job: str) -> tuple[dict[int, FinishedPrint], dict[str, str]]:
    """Return the prints of the same job that are there, whole, by number, and digests of all its files by name.

    Raises
    ------
    BadInput
        Where the folder holds the prints of another job.
    """
    before = load_finish(out)
    if before is None:
        return {}, {}
    if before.job != job:
        raise BadInput(
            f"{out} holds prints of {before.brief!r} made on {before.made[:16]} from another set or with other "
            "options; name a new folder with --out"
        )
    prints = {made.number: made for made in before.prints if _whole(out / made.file, made.digest)}
    digests = {made.file: made.digest for made in before.files}
    return prints, digests | {made.file: made.digest for made in before.prints}


def _whole(file: Path, digest: str) -> bool:
    try:
        with file.open("rb") as stream:
            return whole_digest(stream).hex() == digest
    except OSError:
        return False


def put(path: Path, content: bytes, before: Mapping[str, str]) -> FileMade:
    """Write a further file of a finish; one that is there makes way only where it is as an earlier finish left it.

    Parameters
    ----------
    before : digests of files that an earlier finish of the same job wrote, by name.

    Raises
    ------
    BadInput
        Where the name is taken by another file, or the file cannot be written.
    """
    made = FileMade(file=path.name, digest=xxh3_128(content).hexdigest())
    if not (path.is_file() and _whole(path, made.digest)):
        write_own(path, content, lambda there: _whole(there, before.get(path.name, "")))
    return made


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


class Folder:
    """What is made so far; the document is written anew after each print, so that a stop loses none.

    prints : by number. before : digests of files that an earlier finish of the same job wrote down, by name.
    """

    def __init__(self, out: Path, whole: Finish, prints: dict[int, FinishedPrint], before: Mapping[str, str]) -> None:
        self.out = out
        self.prints = prints
        self.refused: list[NotFinished] = []
        self.sidecars: dict[int, str] = {}
        self.notes: list[str] = []
        self._whole = whole
        self.before = before
        self._files: list[FileMade] = []

    def add(self, made: FinishedPrint) -> None:
        """Take in a print."""
        self.prints[made.number] = made
        self.write(complete=False)

    def refuse(self, number: int, source: str, why: str) -> None:
        """Take down a frame that cannot be printed."""
        self.refused.append(NotFinished(number=number, source=source, why=why))

    def hang(self, hooks: Mapping[int, tuple[Hook, ...]]) -> None:
        """Say where the hooks of the prints go."""
        for number, made in self.prints.items():
            self.prints[number] = made.model_copy(update={"hook": hooks.get(number, ())})

    def put(self, name: str, content: bytes) -> None:
        """Write a further file."""
        self._files.append(put(self.out / name, content, self.before))

    def write(self, *, complete: bool) -> Finish:
        """Write the document and return it."""
        document = self._whole.model_copy(
            update={
                "prints": tuple(self._print(number) for number in sorted(self.prints)),
                "refused": tuple(sorted(self.refused, key=lambda one: one.number)),
                "notes": tuple(self.notes),
                "complete": complete,
                "files": tuple(self._files) or self._further_of_before(),
            }
        )
        write_finish(self.out, document)
        return document

    def _further_of_before(self) -> tuple[FileMade, ...]:
        prints = {made.file for made in self.prints.values()}
        return tuple(FileMade(file=name, digest=one) for name, one in self.before.items() if name not in prints)

    def _print(self, number: int) -> FinishedPrint:
        found = self.prints[number]
        return found.model_copy(update={"sidecar": self.sidecars[number]}) if number in self.sidecars else found
