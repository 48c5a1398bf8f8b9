"""The Python face of a catalog: open a folder, scan it, take a snapshot, correct a frame."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from setsolver.catalog.place import index_file
from setsolver.domain.frame import Frame
from setsolver.domain.snapshot import Snapshot
from setsolver.usecases import frames as _frames
from setsolver.usecases import scan as _scan
from setsolver.usecases.snapshot import snapshot

__all__ = ["Catalog"]


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
    ) -> _scan.ScanReport:
        """Measure new and changed frames; see ``setsolver.usecases.scan.scan``."""
        return _scan.scan(self.folder, workers=workers, progress=progress, cluster=cluster, force=force)

    def snapshot(self) -> Snapshot:
        """Return all measured frames with their groups, near-duplicates and refused files."""
        return snapshot(self.folder)

    def frames(self) -> tuple[Frame, ...]:
        """Return all measured frames in order of path."""
        return self.snapshot().frames

    def correct(self, path: str, *, scale: str | None) -> None:
        """Say a frame's scale ("wide", "medium" or "close") against the measured one; None takes it back.

        Raises
        ------
        NoSuchFrame
            Where the catalog has no frame of this path. BadInput : where the scale is none.
        """
        _frames.correct(self.folder, path, scale)
