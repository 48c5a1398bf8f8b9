"""Versions: sets that were kept under a name, each a folder with an outcome that every other verb reads."""

from __future__ import annotations

import hashlib
import json
import re
import shutil
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

from setsolver.catalog.listing import OUTCOME_FILE
from setsolver.errors import BadInput
from setsolver.output.view.words import inert
from setsolver.usecases.board.state import paths_of
from setsolver.usecases.reopened import brief_of
from setsolver.usecases.sets import load_outcome
from setsolver.writing import alone_in, write_folder

if TYPE_CHECKING:
    from pathlib import Path

    from setsolver.domain.outcome import Outcome, SetFound
    from setsolver.usecases.board import acts
    from setsolver.usecases.board.state import BoardState

__all__ = ["Version", "Versions", "recalled"]

_MOST = 200


@dataclass(frozen=True)
class Version:
    """A set that was kept. key : by which pages name it. folder : where it lies, as ``SET`` on the command line."""

    key: str
    folder: Path
    outcome: Outcome

    @property
    def found(self) -> SetFound:
        """The set."""
        return self.outcome.sets[0]

    @property
    def name(self) -> str:
        """As the user called it."""
        return self.found.says


class Versions:
    """The versions of one brief. home : the folder that holds them; it need not exist."""

    def __init__(self, home: Path) -> None:
        self._home = home
        self._read: dict[str, Version] = {}

    def all(self) -> list[Version]:
        """Return the versions, the oldest first; a folder that holds none any more is left out."""
        folders = sorted(self._home.iterdir()) if self._home.is_dir() else []
        found = dict[str, Version]()
        for folder in folders:
            key = folder.name.rpartition("-")[2]
            known = self._read.get(key)
            if known is not None and folder == known.folder:
                found[key] = known
                continue
            with suppress(BadInput):
                outcome = load_outcome(folder)
                if outcome.sets:
                    found[key] = Version(key, folder, outcome)
        self._read = found
        return sorted(found.values(), key=lambda one: (one.outcome.made, one.name))

    def of(self, key: str) -> Version:
        """Return a version by its key. Raises BadInput where there is none."""
        found = next((one for one in self.all() if one.key == key), None)
        if found is None:
            raise BadInput("this version is not there any more; somebody threw it away")
        return found

    def name(self, state: BoardState, act: acts.Name) -> str:
        """Keep a set that is shown under a name, and say so.

        Raises
        ------
        BadInput
            Where the name is taken, or it cannot be written.
        """
        found, name = state.shown(act.number, act.revision)[act.number - 1], act.name.strip()
        key = hashlib.sha256(name.casefold().encode("utf-8", "surrogatepass")).hexdigest()[:16]
        self._home.mkdir(parents=True, exist_ok=True)
        with alone_in(self._home):
            taken = self.all()
            if any(one.key == key for one in taken):
                raise BadInput(f"there is a version called {inert(name)} already; choose another name")
            if len(taken) >= _MOST:
                raise BadInput(f"{_MOST} versions are kept already; throw some away first")
            stem = re.sub(r"[^A-Za-z0-9_]+", "-", name).strip("-")[:40] or "version"
            write_folder(self._home / f"{stem}-{key}", {OUTCOME_FILE: _document(state, found, name)})
        return f"Kept as {inert(name)}."

    def forget(self, key: str) -> str:
        """Throw a version away, and say so. Raises BadInput where there is none, or it cannot be removed."""
        with alone_in(self._home):
            one = self.of(key)
            try:
                shutil.rmtree(one.folder)
            except OSError as error:
                raise BadInput(f"{one.folder} cannot be removed: {error.strerror or error}") from error
        return f"{inert(one.name)} is thrown away."


def _document(state: BoardState, found: SetFound, name: str) -> bytes:
    brief = state.session.brief.model_dump(mode="json")
    kept = state.outcome.model_copy(
        update={
            "brief": brief,
            "sets": (found.model_copy(update={"says": name}),),
            "catalog": str(state.kept.folder.resolve()),
            "repeats": (),
        }
    )
    return json.dumps(kept.model_dump(mode="json"), indent=1, ensure_ascii=True, allow_nan=False).encode()


def recalled(state: BoardState, act: acts.Recall) -> tuple[str, tuple[tuple[str, ...], ...]]:
    """Hang a version again, under the brief that it was kept with; return what is said, and what it was preferred to.

    Raises
    ------
    BadInput
        Where the version, or a frame of it, is not there any more.
    """
    one = state.versions.of(act.version)
    paths = paths_of(one.found)
    gone = [path for path in paths if path not in state.by_path]
    if gone:
        raise BadInput(f"{inert(gone[0])} of this version is not in the catalog any more")
    others = [paths_of(state.versions.of(key).found) for key in act.over if key != act.version]
    over = (*others, *([paths_of(state.best)] if act.wall and state.best is not None else []))
    session, brief = state.session, brief_of(one.outcome)
    exclude = [path for path in session.named(brief.frames.exclude) if path not in paths]
    frames = {"include": paths, "exclude": exclude, "slots": _slots(one.found)}
    session.change(**{**brief.model_dump(), "frames": frames})
    return f"{inert(one.name)} hangs again.", over


def _slots(found: SetFound) -> dict[str, str]:
    """Return the slot that each frame had: a set is who plays what."""
    return {frame.path: frame.slot for frame in found.frames if frame.slot}
