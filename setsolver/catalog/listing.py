"""Which files of a folder tree are frames: formats, pairs of RAW and rendered picture, sidecars.

A RAW file and a rendered picture (JPEG, HEIC, ...) of one stem in one folder are one frame: its path is the rendered
picture's, and the RAW is its companion. Two rendered pictures of one stem (``a.jpg``, ``a.tif``) are two frames. A
sidecar is ``a.xmp`` (XMP Specification, September 2005, "External Storage of Metadata", p. 36) or ``a.jpg.xmp``
(common practice, no source); the second wins for its file.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from setsolver.catalog.paths import to_text
from setsolver.domain.snapshot import Refused
from setsolver.errors import BadInput

__all__ = ["INDEX_FOLDER", "OUTCOME_FILE", "RAW", "RENDERED", "Listed", "Listing", "listing"]

INDEX_FOLDER = ".setsolver"
OUTCOME_FILE = "outcome.json"
"""The document of a set; a folder that holds one was written by setsolver, and nothing in or below it is listed."""
RENDERED = frozenset({"jpg", "jpeg", "jpe", "png", "tif", "tiff", "webp", "heic", "heif", "hif"})
_RAW_WORDS = """
3fr ari arw bay cap cr2 cr3 crw dcr dcs dng erf fff gpr iiq k25 kdc mdc mef mos mrw nef nrw orf pef ptx raf raw rw2 rwl
rwz sr2 srf srw x3f
"""
RAW = frozenset(_RAW_WORDS.split())
"""Extensions of camera files that LibRaw reads."""
_WANTED = RENDERED | RAW | {"xmp"}
_OPEN_IT = "give yourself the right to open it and scan again"


@dataclass(frozen=True, slots=True)
class Listed:
    """A file that should be a frame. ``path`` is the catalog's text; the others are absolute files.

    stamp : sizes and times (ns) of the companion and the sidecar, "" without them; a change means reading again.
    """

    path: str
    file: Path
    size: int
    mtime_ns: int
    companion: Path | None = None
    sidecar: Path | None = None
    stamp: str = ""


@dataclass(frozen=True, slots=True)
class Listing:
    """Frames in order of path, and folders that could not be listed."""

    frames: tuple[Listed, ...]
    closed: tuple[Refused, ...] = ()


@dataclass(slots=True)
class _Entry:
    name: str
    size: int
    mtime_ns: int
    stem: str = field(init=False)
    kind: str = field(init=False)

    def __post_init__(self) -> None:
        stem, _, kind = self.name.lower().rpartition(".")
        self.stem, self.kind = stem, kind

    @property
    def stamp(self) -> str:
        return f"{self.name}:{self.size}:{self.mtime_ns}"


def listing(folder: Path) -> Listing:
    """Return the frames under a folder in order of path.

    Hidden files and folders are left out (so is the index), and folders with the outcome of a set; links to folders
    are followed once, so that loops end.

    Raises
    ------
    BadInput
        Where the folder is missing, is not a folder, or may not be read.
    """
    try:
        os.scandir(folder).close()
    except OSError as error:
        raise BadInput(f"cannot list {str(folder)!r}: {error.strerror}; name a folder of photographs") from error
    found: list[Listed] = []
    closed: list[Refused] = []
    for below, entries in _walk(folder, closed):
        found += _frames(folder, below, entries)
    return Listing(tuple(sorted(found, key=lambda listed: listed.path)), tuple(closed))


def _walk(top: Path, closed: list[Refused]) -> Iterator[tuple[str, list[_Entry]]]:
    """Yield (folder relative to the top, its files), each real folder once; folders that cannot be listed are noted."""
    seen: set[tuple[int, int]] = set()
    waiting = [""]
    while waiting:
        below = waiting.pop()
        try:
            key = (top / below).stat()
            if (key.st_dev, key.st_ino) in seen:
                continue
            seen.add((key.st_dev, key.st_ino))
            folders, files = _one_folder(top / below)
        except OSError as error:
            closed.append(Refused(to_text(below), f"the folder cannot be listed ({error.strerror}); {_OPEN_IT}"))
            continue
        waiting += [f"{below}/{name}" if below else name for name in sorted(folders, reverse=True)]
        yield below, files


def _one_folder(where: Path) -> tuple[list[str], list[_Entry]]:
    folders: list[str] = []
    files: list[_Entry] = []
    with os.scandir(where) as entries:
        for entry in entries:
            if entry.name == OUTCOME_FILE:  # a set that was written here: its pictures are not frames
                return [], []
            if entry.name.startswith("."):
                continue
            if entry.is_dir():
                folders.append(entry.name)
            elif entry.name.rpartition(".")[2].lower() in _WANTED:
                files.append(_entry(entry))
    return folders, files


def _entry(entry: os.DirEntry[str]) -> _Entry:
    """Return a file's facts; a link to nowhere is kept, so that reading it reports the reason."""
    try:
        stat = entry.stat()
    except OSError:
        return _Entry(entry.name, 0, 0)
    return _Entry(entry.name, stat.st_size, stat.st_mtime_ns)


def _frames(top: Path, below: str, entries: list[_Entry]) -> Iterator[Listed]:
    """Yield one folder's frames: every rendered picture, and every RAW that has no rendered picture beside it."""
    raws = {entry.stem: entry for entry in entries if entry.kind in RAW}
    sidecars = {entry.stem: entry for entry in entries if entry.kind == "xmp"}
    rendered = [entry for entry in entries if entry.kind in RENDERED]
    paired = {entry.stem for entry in rendered}
    for entry in rendered + [raw for stem, raw in raws.items() if stem not in paired]:
        companion = raws.get(entry.stem) if entry.kind in RENDERED else None
        sidecar = sidecars.get(entry.name.lower()) or sidecars.get(entry.stem)
        yield _listed(top, below, entry, companion, sidecar)


def _listed(top: Path, below: str, entry: _Entry, companion: _Entry | None, sidecar: _Entry | None) -> Listed:
    where = top / below
    return Listed(
        path=to_text(f"{below}/{entry.name}" if below else entry.name),
        file=where / entry.name,
        size=entry.size,
        mtime_ns=entry.mtime_ns,
        companion=where / companion.name if companion else None,
        sidecar=where / sidecar.name if sidecar else None,
        stamp=" ".join(part.stamp for part in (companion, sidecar) if part),
    )
