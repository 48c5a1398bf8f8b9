"""Frames of an open catalog measured again because they were said to be turned, each for what one frame costs.

Only where the file is as it was when it was measured; anything else is for a scan, which looks at the whole folder.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import NamedTuple

from setsolver.catalog.listing import listed_at
from setsolver.catalog.pairing import Listed
from setsolver.catalog.records import Known, Measured
from setsolver.catalog.store import Store
from setsolver.domain.frame import Frame
from setsolver.domain.last import remembered
from setsolver.usecases.index import open_index
from setsolver.usecases.measuring import features
from setsolver.usecases.resident import Resident
from setsolver.usecases.tasks import READ, VERSION, Task

__all__ = ["Remeasured", "measured_ahead", "prepare", "remeasured"]

_MOST_KEPT = 32
"""Rows kept of frames that were measured, and of what was there before, so that a turn that is taken back,
or made again, measures nothing."""


class Remeasured(NamedTuple):
    """Frames as the index holds them now, by path, and what it says of cameras' clocks."""

    frames: Mapping[str, Frame]
    clocks: Mapping[str, str]


class _Recent:
    """Rows measured a moment ago, by file and turn."""

    def __init__(self) -> None:
        self.rows: dict[tuple[object, ...], Measured] = {}
        remembered(self)

    def forget(self) -> None:
        """Let go of them."""
        self.rows = {}


_recent = _Recent()
_resident = Resident(features)


def prepare() -> None:
    """Let what measures turned frames be loaded beforehand, in the process that will; returns at once."""
    _resident.begin()


def measured_ahead(folder: Path, path: str, turn: int | None) -> None:
    """Measure a frame as if it were turned so, and keep that for ``remeasured``; nothing is written.

    For whoever need not be waited for: what cannot be measured so is for ``remeasured`` to find out.
    """
    here = folder if folder.is_absolute() else folder.resolve()
    with open_index(folder) as store:
        _measured(here, store, path, turn or 0)


def remeasured(folder: Path, paths: Iterable[str]) -> Remeasured | None:
    """Measure frames as they are said to be turned, write them to the index, and return them; grouping is due then.

    None where that is for a scan: nothing was written of those frames.

    Raises
    ------
    CatalogBusy
        Where a scan of the folder is running, and not all are measured so already.
    """
    here = folder if folder.is_absolute() else folder.resolve()  # the worker may have been started elsewhere
    paths = tuple(paths)
    with open_index(folder) as store:
        said = store.corrections()
        turns = {path: int(said.get(path, {}).get("turn", 0)) for path in paths}
        if not all(_is_measured(here, store, path, turn) for path, turn in turns.items()):
            with store.scanning():
                rows = []
                for path, turn in turns.items():
                    row = _measured(here, store, path, turn)
                    if row is None:
                        return None
                    rows.append(row)
                store.write([row for row in rows if isinstance(row, Measured)])
        frames = {path: frame for path in paths for frame in store.frames(path)}
        return Remeasured(frames, store.clocks())


def _standing(folder: Path, store: Store, path: str) -> tuple[Known, Listed] | None:
    """Return what the index holds of a frame, and its file; None where they are not of each other any more."""
    old, listed = store.known(path).get(path), listed_at(folder, path)
    if old is None or listed is None or old.version not in READ:
        return None
    if (old.size, old.mtime_ns, old.stamp) != (listed.size, listed.mtime_ns, listed.stamp):
        return None
    return old, listed


def _is_measured(folder: Path, store: Store, path: str, turn: int) -> bool:
    """Tell whether a frame is measured as turned so, and nothing has to be written."""
    standing = _standing(folder, store, path)
    return standing is not None and standing[0].turn == turn


def _measured(folder: Path, store: Store, path: str, turn: int) -> Measured | bool | None:
    """Return the row to write of a frame; True where it is measured so already, None where a scan has to look."""
    standing = _standing(folder, store, path)
    if standing is None:
        return None
    old, listed = standing
    if old.turn == turn:
        return True
    file = (str(folder), path, old.size, old.mtime_ns, old.stamp, old.digest)
    row, before = _recent.rows.get((*file, turn)), store.measured(path)
    if row is None:
        found = _resident.measure(Task(listed, VERSION, turn=turn).whole())
        if not isinstance(found, Measured) or found.measures is None:
            return None
        row = found
    both = {(*file, turn): row} | ({} if before is None else {(*file, old.turn): before})
    _recent.rows = dict([*_recent.rows.items()][-_MOST_KEPT:]) | both
    return row
