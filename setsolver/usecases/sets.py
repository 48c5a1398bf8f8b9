"""Set folders: where an outcome is written, and how ``SET`` on the command line finds one again."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

from setsolver.catalog.listing import OUTCOME_FILE
from setsolver.domain.outcome import Outcome, SetFound
from setsolver.errors import BadInput
from setsolver.usecases.reopened import Kept, document_in
from setsolver.writing import write_folder

__all__ = ["load_outcome", "load_set", "write_set"]

_KEPT = Kept(OUTCOME_FILE, most=200_000_000, verb="suggest")
"""An outcome of 500 frames and 20 alternates has 10 million bytes."""
_MOST_DIGITS = 6


def write_set(brief_name: str, out: Path | None, files: Mapping[str, bytes], now: datetime | None = None) -> Path:
    """Write the folder of an outcome whole: ``out``, or ``sets/BRIEF-DATE`` under the current one; return it.

    A name that is taken gets -2, -3, ..., so that no earlier outcome is overwritten; an ``out`` given by the user is
    taken as it is, and must be new or empty.

    Raises
    ------
    BadInput
        Where the folder cannot be made, or holds anything.
    """
    if out is not None:
        write_folder(out, files)
        return out
    day = (now or datetime.now().astimezone()).strftime("%Y-%m-%d")
    stem = f"{re.sub(r'[^A-Za-z0-9_-]+', '-', brief_name)}-{day}"
    while True:
        folder = _free(Path("sets") / stem)
        try:
            write_folder(folder, files)
        except BadInput:
            if not os.path.lexists(folder):
                raise
        else:
            return folder


def _free(wanted: Path) -> Path:
    found, number = wanted, 1
    while os.path.lexists(found):
        number += 1
        found = wanted.with_name(f"{wanted.name}-{number}")
    return found


def load_outcome(path: Path) -> Outcome:
    """Read an outcome from its folder or file.

    Raises
    ------
    BadInput
        Where there is none, or the document is not of this format and version.
    """
    return document_in(path, Outcome, _KEPT)


def load_set(reference: str) -> tuple[Outcome, SetFound]:
    """Read one set: ``FOLDER``, ``FOLDER/outcome.json``, either with ``#2`` for the second set.

    Raises
    ------
    BadInput
        Where the outcome or the set's number does not exist.
    """
    text, mark, number = reference.rpartition("#")
    if not mark or not (number.isascii() and number.isdigit()):
        text, number = reference, "1"
    outcome = load_outcome(Path(text))
    if not outcome.sets:
        raise BadInput(f"{text}: this outcome holds no set (status {outcome.status})")
    if len(number) > _MOST_DIGITS or not 1 <= int(number) <= len(outcome.sets):
        raise BadInput(
            f"{text}: there is no set {number[:_MOST_DIGITS]}; it holds {len(outcome.sets)}, the first is #1"
        )
    return outcome, outcome.sets[int(number) - 1]
