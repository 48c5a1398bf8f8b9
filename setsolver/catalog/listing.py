"""Which files of a folder tree are frames: formats, pairs of RAW and rendered picture, sidecars.

A RAW file and a rendered picture (JPEG, HEIC, ...) of one stem in one folder are one frame: its path is the rendered
picture's, and the RAW is its companion. Two rendered pictures of one stem (``a.jpg``, ``a.tif``) are two frames. A
sidecar is ``a.xmp`` (XMP Specification, September 2005, "External Storage of Metadata", p. 36) or ``a.jpg.xmp``
(common practice, no source); the second wins for its file.
"""

from __future__ import annotations

import os
import re
import stat
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from setsolver.catalog.paths import to_file, to_text
from setsolver.domain.snapshot import Refused
from setsolver.errors import BadInput

__all__ = [
    "INDEX_FOLDER",
    "OUTCOME_FILE",
    "PICTURE_FILE",
    "RAW",
    "RENDERED",
    "UNREAD",
    "Listed",
    "Listing",
    "companion_of",
    "kind_of_file",
    "listed_at",
    "listing",
]

INDEX_FOLDER = ".setsolver"
OUTCOME_FILE, PICTURE_FILE = "outcome.json", "proof.png"
"""The document of a set and its picture. A folder that holds a real one and no photograph is a set's, not a shoot's."""
_OUTCOME = re.compile(rb'"format"\s*:\s*"setsolver/outcome"')
_OURS = b"tEXtSoftware\0setsolver"
"""How a picture that was drawn here says so (PNG, third edition, 11.3.3.2)."""
_HEAD = 4096
RENDERED = frozenset({"jpg", "jpeg", "jpe", "png", "tif", "tiff", "webp", "heic", "heif", "hif"})
_RAW_WORDS = """
3fr ari arw bay cap cr2 cr3 crw dcr dcs dng erf fff gpr iiq k25 kdc mdc mef mos mrw nef nrw orf pef ptx raf raw rw2 rwl
rwz sr2 srf srw x3f
"""
RAW = frozenset(_RAW_WORDS.split())
"""Extensions of camera files that LibRaw reads."""
UNREAD = frozenset({"avif", "bmp", "exr", "gif", "j2k", "jp2", "jxl", "jxr", "ppm", "tga"})
"""Extensions of pictures that are not read here; they are counted, so that nobody misses them without a word."""
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
    """Frames in order of path, and what stands beside them.

    closed : folders that could not be listed, and entries that are no files (links in a circle, pipes, devices).
    unread : extensions of ``UNREAD`` in order, and how many files have them. remarks : what a user should know.
    """

    frames: tuple[Listed, ...]
    closed: tuple[Refused, ...] = ()
    unread: tuple[tuple[str, int], ...] = ()
    remarks: tuple[str, ...] = ()


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


@dataclass(slots=True)
class _Folder:
    """One folder's subfolders and files, what is neither with the reason, and how many pictures are not read.

    outcome : it holds the document of a set.
    """

    folders: list[str] = field(default_factory=list)
    files: list[_Entry] = field(default_factory=list)
    neither: list[tuple[str, str]] = field(default_factory=list)
    unread: Counter[str] = field(default_factory=Counter)
    outcome: bool = False


def listing(folder: Path) -> Listing:
    """Return the frames under a folder in order of path.

    Hidden files and folders are left out (so is the index), and what was written here as a set; links to folders
    are followed once, so that loops end.

    Raises
    ------
    BadInput
        Where the folder is missing, is not a folder, or cannot be read.
    """
    found: list[Listed] = []
    closed: list[Refused] = []
    unread = Counter[str]()
    remarks: list[str] = []
    for below, inside in _walk(folder, closed):
        found += _frames(folder, below, inside.files)
        closed += [Refused(to_text(_joined(below, name)), why) for name, why in inside.neither]
        unread += inside.unread
        if inside.outcome and inside.files:
            remarks.append(_mixed(below))
    found.sort(key=lambda listed: listed.path)
    return Listing(tuple(found), tuple(closed), tuple(sorted(unread.items())), tuple(remarks))


def listed_at(folder: Path, path: str) -> Listed | None:
    """Return one frame under a folder as ``listing`` does, by its path there; None where it lists none of that path.

    Only names that begin as the frame's are looked at. Of a path whose folder is reached by another way first, which
    ``listing`` follows, the frame is found all the same.
    """
    file = to_file(folder, path)
    below = file.parent.relative_to(folder).as_posix().removeprefix(".")
    try:
        inside = _one_folder(file.parent, file.name.lower().rpartition(".")[0])
    except OSError:
        return None
    return next((listed for listed in _frames(folder, below, inside.files) if listed.path == path), None)


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


def _walk(top: Path, closed: list[Refused]) -> Iterator[tuple[str, _Folder]]:
    """Yield folders by their path below the top, each real folder once; those that cannot be listed are noted."""
    seen: set[tuple[int, int]] = set()
    waiting = [""]
    while waiting:
        below = waiting.pop()
        try:
            key = (top / below).stat()
            if (key.st_dev, key.st_ino) in seen:
                continue
            seen.add((key.st_dev, key.st_ino))
            inside = _one_folder(top / below)
        except OSError as error:
            if not below:  # not the same as a folder without frames: nothing is known of any of them
                raise BadInput(f"cannot list {str(top)!r}: {error.strerror}; name a folder of photographs") from error
            closed.append(Refused(to_text(below), f"the folder cannot be listed ({error.strerror}); {_OPEN_IT}"))
            continue
        waiting += [_joined(below, name) for name in sorted(inside.folders, reverse=True)]
        yield below, inside


def _joined(below: str, name: str) -> str:
    return f"{below}/{name}" if below else name


def _one_folder(where: Path, begins: str = "") -> _Folder:
    found = _Folder()
    with os.scandir(where) as entries:
        for entry in entries:
            if begins and not entry.name.lower().startswith(begins) and entry.name != OUTCOME_FILE:
                continue
            if entry.name == OUTCOME_FILE:
                found.outcome = _OUTCOME.search(_head(where / entry.name)) is not None
            elif not entry.name.startswith("."):
                _sort_in(found, entry)
    return _without_set(where, found) if found.outcome else found


def _without_set(where: Path, found: _Folder) -> _Folder:
    """Return a folder without what was written there as a set; photographs beside it are frames like any other."""
    photographs = [entry for entry in found.files if entry.name != PICTURE_FILE and entry.kind != "xmp"]
    if not photographs:
        found.files = []
        return found
    found.files = [
        entry for entry in found.files if entry.name != PICTURE_FILE or _OURS not in _head(where / entry.name)
    ]
    return found


def _head(file: Path) -> bytes:
    """Return a file's first bytes, none where there is no reading it."""
    try:
        if kind_of_file(file.stat().st_mode):
            return b""
        with file.open("rb") as stream:
            return stream.read(_HEAD)
    except OSError:
        return b""


def _mixed(below: str) -> str:
    where = repr(to_text(below)) if below else "the folder"
    return (
        f"{where} holds the outcome of a set beside photographs, which are frames like any other; keep sets elsewhere"
    )


def _sort_in(found: _Folder, entry: os.DirEntry[str]) -> None:
    """Put an entry where it belongs; it costs no other entry its place, whatever the disk says of it."""
    ending = entry.name.rpartition(".")[2].lower()
    try:
        if entry.is_dir():
            found.folders.append(entry.name)
            return
    except OSError as error:  # a link in a circle, a disk that fails: it might be a folder
        if ending != "xmp":
            found.neither.append((entry.name, f"it cannot be looked at ({error.strerror}); mend or remove it"))
            return
    if ending in UNREAD and "." in entry.name:
        found.unread[ending] += 1
    elif ending in _WANTED:
        file, what = _entry(entry)
        if what and ending != "xmp":  # opening it might never end; of a sidecar, its frame says so
            found.neither.append((entry.name, f"it is no regular file but {what}; take it out of the folder"))
        else:
            found.files.append(file)


def _entry(entry: os.DirEntry[str]) -> tuple[_Entry, str]:
    """Return a file's facts, and what it is if no file; a link to nowhere is kept: reading it reports the reason."""
    try:
        facts = entry.stat()
    except OSError:
        return _Entry(entry.name, 0, 0), ""
    return _Entry(entry.name, facts.st_size, facts.st_mtime_ns), kind_of_file(facts.st_mode)


def _frames(top: Path, below: str, entries: list[_Entry]) -> Iterator[Listed]:
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


def _listed(top: Path, below: str, entry: _Entry, companion: _Entry | None, sidecar: _Entry | None) -> Listed:
    where = top / below
    return Listed(
        path=to_text(_joined(below, entry.name)),
        file=where / entry.name,
        size=entry.size,
        mtime_ns=entry.mtime_ns,
        companion=where / companion.name if companion else None,
        sidecar=where / sidecar.name if sidecar else None,
        stamp=" ".join(part.stamp for part in (companion, sidecar) if part),
    )
