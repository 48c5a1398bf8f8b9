"""Which files of a folder tree are frames."""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from setsolver.catalog.pairing import RAW, RENDERED, Entry, Listed, frames_in, joined, kind_of_file
from setsolver.catalog.paths import to_file, to_text
from setsolver.domain.snapshot import Refused
from setsolver.errors import BadInput

__all__ = [
    "INDEX_FOLDER",
    "OUTCOME_FILE",
    "PICTURE_FILE",
    "UNREAD",
    "Listing",
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
UNREAD = frozenset({"avif", "bmp", "exr", "gif", "j2k", "jp2", "jxl", "jxr", "ppm", "tga"})
"""Extensions of pictures that are not read here; they are counted, so that nobody misses them without a word."""
_WANTED = RENDERED | RAW | {"xmp"}
_OPEN_IT = "give yourself the right to open it and scan again"


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
class _Folder:
    """One folder's subfolders and files, what is neither with the reason, and how many pictures are not read.

    outcome : it holds the document of a set.
    """

    folders: list[str] = field(default_factory=list)
    files: list[Entry] = field(default_factory=list)
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
        found += frames_in(folder, below, inside.files)
        closed += [Refused(to_text(joined(below, name)), why) for name, why in inside.neither]
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
    return next((listed for listed in frames_in(folder, below, inside.files) if listed.path == path), None)


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
        waiting += [joined(below, name) for name in sorted(inside.folders, reverse=True)]
        yield below, inside


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


def _entry(entry: os.DirEntry[str]) -> tuple[Entry, str]:
    """Return a file's facts, and what it is if no file; a link to nowhere is kept: reading it reports the reason."""
    try:
        facts = entry.stat()
    except OSError:
        return Entry(entry.name, 0, 0), ""
    return Entry(entry.name, facts.st_size, facts.st_mtime_ns), kind_of_file(facts.st_mode)
