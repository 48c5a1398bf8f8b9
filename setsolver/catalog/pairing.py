"""Which files of one folder are one frame: a picture, its RAW, its sidecar.

A RAW file and a rendered picture (JPEG, HEIC, ...) of one stem in one folder are one frame: its path is the rendered
picture's, and the RAW is its companion. Two rendered pictures of one stem (``a.jpg``, ``a.tif``) are two frames. A
sidecar is ``a.xmp`` (XMP Specification, September 2005, "External Storage of Metadata", p. 36) or ``a.jpg.xmp``
(common practice, no source); the second wins for its file.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from setsolver.catalog.paths import to_text

__all__ = ["RAW", "RENDERED", "Entry", "Listed", "companion_of", "frames_in", "joined", "kind_of_file"]

RENDERED = frozenset({"jpg", "jpeg", "jpe", "png", "tif", "tiff", "webp", "heic", "heif", "hif"})
_RAW_WORDS = """
3fr ari arw bay cap cr2 cr3 crw dcr dcs dng erf fff gpr iiq k25 kdc mdc mef mos mrw nef nrw orf pef ptx raf raw rw2 rwl
rwz sr2 srf srw x3f
"""
RAW = frozenset(_RAW_WORDS.split())
"""Extensions of camera files that LibRaw reads."""


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


@dataclass(slots=True)
class Entry:
    """A file of the folder; stem and kind : its name without and its extension, in small letters."""

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
        """What tells that it is another by now."""
        return f"{self.name}:{self.size}:{self.mtime_ns}"


def companion_of(file: Path) -> Path | None:
    """Return the RAW file that is one frame with a rendered picture, as ``listing`` pairs them, or None.

    Raises
    ------
    OSError
        Where the folder cannot be listed.
    """
    stem, _, kind = file.name.lower().rpartition(".")
    if kind not in RENDERED:
        return None
    with os.scandir(file.parent) as entries:
        raws = [entry for entry in entries if entry.name.lower().rpartition(".")[::2] in {(stem, raw) for raw in RAW}]
    return min((file.parent / entry.name for entry in raws if entry.is_file()), default=None)


def kind_of_file(mode: int) -> str:
    """Return "" for a regular file's mode (``stat.st_mode``), else what it is in words."""
    kinds = {
        stat.S_IFREG: "",
        stat.S_IFDIR: "a folder",
        stat.S_IFIFO: "a named pipe",
        stat.S_IFCHR: "a device",
        stat.S_IFBLK: "a device",
        stat.S_IFSOCK: "a socket",
    }
    return kinds.get(stat.S_IFMT(mode), "something else")


def joined(below: str, name: str) -> str:
    """Return the path of a name in a folder, which is "" for the catalog's own."""
    return f"{below}/{name}" if below else name


def frames_in(top: Path, below: str, entries: list[Entry]) -> Iterator[Listed]:
    """Yield one folder's frames: every rendered picture, and every RAW that has no rendered picture beside it."""
    entries = sorted(entries, key=lambda entry: entry.name, reverse=True)  # of two that serve, the first by name does
    raws = {entry.stem: entry for entry in entries if entry.kind in RAW}
    sidecars = {entry.stem: entry for entry in entries if entry.kind == "xmp"}
    rendered = [entry for entry in entries if entry.kind in RENDERED]
    paired = {entry.stem for entry in rendered}
    for entry in rendered + [raw for stem, raw in raws.items() if stem not in paired]:
        companion = raws.get(entry.stem) if entry.kind in RENDERED else None
        sidecar = sidecars.get(entry.name.lower()) or sidecars.get(entry.stem)
        yield _listed(top, below, entry, companion, sidecar)


def _listed(top: Path, below: str, entry: Entry, companion: Entry | None, sidecar: Entry | None) -> Listed:
    where = top / below
    return Listed(
        path=to_text(joined(below, entry.name)),
        file=where / entry.name,
        size=entry.size,
        mtime_ns=entry.mtime_ns,
        companion=where / companion.name if companion else None,
        sidecar=where / sidecar.name if sidecar else None,
        stamp=" ".join(part.stamp for part in (companion, sidecar) if part),
    )
