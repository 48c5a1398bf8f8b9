"""The Python face: open a catalog, scan it, load a brief, ask for the best set."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from setsolver.catalog.paths import to_file
from setsolver.catalog.place import index_file
from setsolver.catalog.reader import picture
from setsolver.domain.brief import Brief as _Brief
from setsolver.domain.frame import Frame
from setsolver.domain.outcome import Outcome
from setsolver.domain.snapshot import Snapshot
from setsolver.usecases import frames as _frames
from setsolver.usecases import scan as _scan
from setsolver.usecases import suggest as _suggest
from setsolver.usecases.briefs import load_brief
from setsolver.usecases.effort import Effort
from setsolver.usecases.index import open_index
from setsolver.usecases.session import Session
from setsolver.usecases.snapshot import snapshot

__all__ = ["Brief", "Catalog", "Session", "suggest"]


class Brief(_Brief):
    """A brief that can load itself; see ``setsolver.domain.brief.Brief`` for what it holds."""

    @classmethod
    def load(cls, name: str | Path) -> Brief:
        """Return a brief that comes with setsolver, by name, or one of your own, by its file.

        Raises
        ------
        BadBrief
            With the key, the line, the value and what is allowed.
        """
        return cls.model_validate(load_brief(name).model_dump())


@dataclass(frozen=True, slots=True)
class Catalog:
    """A folder of frames and the index made from it."""

    folder: Path

    @classmethod
    def open(cls, folder: str | os.PathLike[str]) -> Catalog:
        """Return the catalog of a folder; its index is made where there is none yet.

        Raises
        ------
        BadInput
            Where the folder does not exist, is no folder, or no index can be written for it.
        """
        index_file(Path(folder))
        return cls(Path(folder))

    def scan(
        self,
        *,
        workers: int | None = None,
        progress: _scan.Progress | None = None,
        cluster: str | None = None,
        force: bool = False,
        quick: bool = False,
        clocks: Mapping[str, str] | None = None,
    ) -> _scan.ScanReport:
        """Measure new and changed frames; see ``setsolver.usecases.scan.scan``."""
        return _scan.scan(
            self.folder,
            workers=workers,
            progress=progress,
            cluster=cluster,
            force=force,
            quick=quick,
            clocks=clocks or {},
        )

    def snapshot(self) -> Snapshot:
        """Return all measured frames with their groups, near-duplicates and refused files."""
        return snapshot(self.folder)

    def frames(self) -> tuple[Frame, ...]:
        """Return all measured frames in order of path."""
        return tuple(self.snapshot().frames)

    def correct(self, path: str, **said: str | None) -> None:
        """Say of a frame what counts against what was measured; None takes it back.

        Parameters
        ----------
        said : scale="wide", "medium" or "close"; turn="90", "180" or "270" degrees clockwise that make the file's
            picture upright, "0" for one that is. The next ``scan`` measures a frame turned.

        Raises
        ------
        NoSuchFrame
            Where the catalog has no frame of this path. BadInput : where what is said is nothing that can be said.
        """
        self.correct_all({path: said})

    def correct_all(self, said: _frames.Said) -> dict[str, dict[str, str | None]]:
        """Say of several frames by path what ``correct`` says: all of it or, where some raises, nothing.

        Returns what was said by the catalog's own paths.
        """
        return _frames.correct(self.folder, said)

    def session(self, brief: _Brief | str | Path, *, effort: Effort = Effort()) -> Session:
        """Open a session of a scanned catalog: the catalog with a brief, kept warm.

        Parameters
        ----------
        brief : or the name of one that comes with setsolver, or the file of one of your own.
        """
        wanted = brief if isinstance(brief, _Brief) else load_brief(brief)
        return Session(self.snapshot(), wanted, effort=effort, folder=self.folder)

    def picture(self, path: str, long_side: int) -> NDArray[np.uint8]:
        """Return a frame's upright sRGB picture at about a long side, uint8[h, w, 3], or as large as it is.

        Raises
        ------
        FrameRefused
            Where the file cannot be read any more.
        """
        with open_index(self.folder) as store:
            turn = store.turn_of(path)
        return picture(to_file(self.folder, path), long_side, turn)


def suggest(
    catalog: Catalog,
    brief: _Brief,
    *,
    alternates: int = _suggest.ALTERNATES,
    differ: int | None = None,
    effort: Effort = Effort(),
) -> Outcome:
    """Return the best set of a scanned catalog and its alternates; see ``setsolver.usecases.suggest.suggest``."""
    return _suggest.suggest(catalog.snapshot(), brief, alternates=alternates, differ=differ, effort=effort)
