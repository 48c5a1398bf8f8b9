"""Writes an outcome: the document, the proof sheet as a page, and the sheet as one picture."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

from setsolver.catalog.listing import OUTCOME_FILE, PICTURE_FILE
from setsolver.output import proof_html, proof_png
from setsolver.usecases.sets import write_set

if TYPE_CHECKING:
    from setsolver.domain.outcome import Outcome
    from setsolver.output import Loader

__all__ = ["PAGE_FILE", "write_outcome"]

PAGE_FILE = "proof.html"


def write_outcome(outcome: Outcome, picture: Loader, out: Path | None = None) -> Path:
    """Write outcome.json, proof.html and, where there is a set, proof.png, all or none; return the sheet's path.

    Parameters
    ----------
    picture : path in the catalog and long side to pixels. out : the folder, or None for ``sets/BRIEF-DATE`` here.

    Raises
    ------
    BadInput
        Where the folder cannot be written, or holds anything already; nothing of it is left then.
    """
    document = json.dumps(outcome.model_dump(mode="json"), indent=1, ensure_ascii=True, allow_nan=False)
    files = {OUTCOME_FILE: document.encode(), PAGE_FILE: proof_html(outcome, picture).encode()}
    if outcome.sets:
        files[PICTURE_FILE] = proof_png(outcome, picture)
    folder = write_set(str(outcome.brief["name"]), out, files)
    return (folder / PAGE_FILE).resolve()
