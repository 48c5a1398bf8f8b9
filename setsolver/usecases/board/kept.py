"""What the board keeps beside the index: a working copy of the brief, written whole, and where everything else lies.

The brief that the user named is never written. The working copy is a brief like any other, and says on top of which one
it was begun; a brief that was edited since is told apart by its digest.
"""

from __future__ import annotations

import hashlib
import os
import re
from pathlib import Path
from typing import TYPE_CHECKING

from setsolver.catalog.place import index_file
from setsolver.domain.columns import paths_of
from setsolver.errors import BadBrief, BadInput
from setsolver.reading import read_within
from setsolver.usecases.board.choices import Choices
from setsolver.usecases.brief_file import brief_text_of
from setsolver.usecases.briefs import brief_names, load_brief, parse_brief
from setsolver.usecases.gone import without_gone
from setsolver.writing import write_own

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief
    from setsolver.domain.snapshot import Snapshot

__all__ = ["Kept"]

BOARD_FOLDER = "board"
_HEAD = "# Working copy of the board; begun from the brief with digest "
_MOST_BRIEF = 4_000_000
"""Bytes read at most. A working copy may name a hundred thousand frames."""


class Kept:
    """The files of one brief and catalog.

    Attributes
    ----------
    folder : of the catalog. home : of boards. stem : what files of this brief are called by. brief_file : the working
    copy. choices : of all briefs. They name the catalog from their own folder where that lies in it, so that both can
    be moved.
    begun : digest of the brief that the working copy was begun from, None before there is one.
    """

    def __init__(self, folder: Path, source: str) -> None:
        self.source, self.folder = source, folder
        self.brief = load_brief(source)
        self.stem = f"{re.sub(r'[^A-Za-z0-9_-]+', '-', self.brief.name)}-{_short(_identity(source))}"
        self.home = home = index_file(folder).parent / BOARD_FOLDER
        home.mkdir(exist_ok=True)
        self.brief_file = home / f"{self.stem}.toml"
        inside = home.resolve().is_relative_to(folder.resolve())
        catalog = os.path.relpath(folder.resolve(), home.resolve()) if inside else str(folder.resolve())
        self.choices = Choices(home / "choices.jsonl", catalog)
        self._stamp = _stamp(source)
        self._written: bytes | None = None
        self.begun: str | None = None

    def load(self) -> Brief:
        """Return the working copy, or the brief itself where there is none.

        Raises
        ------
        BadBrief
            Where the working copy cannot be read; the message says which file to move away.
        """
        if not self.brief_file.is_file():
            return self.brief
        try:
            content = read_within(self.brief_file, _MOST_BRIEF)
            text = content.decode()
            brief = parse_brief(text, str(self.brief_file))
        except (BadInput, OSError, UnicodeDecodeError) as error:
            raise BadBrief(
                f"the board's working copy {self.brief_file} cannot be used ({error}); mend it, or move it away to "
                "begin again from the brief"
            ) from error
        self._written = content
        first = text.partition("\n")[0]
        self.begun = first.removeprefix(_HEAD) if first.startswith(_HEAD) else None
        return brief

    def load_for(self, snapshot: Snapshot) -> tuple[Brief, tuple[str, ...]]:
        """Return the same for a catalog, and which frames it named that are gone: a working copy goes on without them.

        What the owner of a brief wrote is his own to mend. Raises as ``load``.
        """
        brief = self.load()
        return (brief, ()) if self.begun is None else without_gone(brief, set(paths_of(snapshot.frames)))

    def save(self, brief: Brief, *, begun: bool = False) -> None:
        """Write the working copy. begun : True where it begins again from the brief as it is now.

        Raises
        ------
        BadInput
            Where it cannot be written, or somebody else wrote it since it was read.
        """
        from_which = digest_of(self.brief) if self.begun is None or begun else self.begun
        content = f"{_HEAD}{from_which}\n{brief_text_of(brief)}".encode()
        write_own(self.brief_file, content, self._is_mine)
        self._written, self.begun = content, from_which

    def refresh(self) -> None:
        """Read the brief that the user named again where its file changed; one that no longer holds is left out."""
        stamp = _stamp(self.source)
        if stamp == self._stamp:
            return
        self._stamp = stamp
        try:
            self.brief = load_brief(self.source)
        except BadInput:  # half-written or gone: what was read before still stands
            return

    @property
    def brief_named(self) -> str:
        """The brief as choices name it, so that ``learn`` finds it: by name where that is known, or its file."""
        return _identity(self.source)

    @property
    def edited(self) -> bool:
        """True where the brief that the user named is another one than the working copy was begun from."""
        return self.begun is not None and self.begun != digest_of(self.brief)

    def _is_mine(self, path: Path) -> bool:
        return self._written is not None and path.read_bytes() == self._written


def digest_of(brief: Brief) -> str:
    """Return what tells a brief from another one, whatever its file's comments."""
    return _short(brief_text_of(brief))


def _file(source: str) -> Path:
    """Return the file that a brief's name leads to, as ``load_brief`` reads it; it need not exist."""
    path = Path(source)
    with_suffix = path.with_name(f"{path.name}.toml") if path.name else path
    return with_suffix if not path.exists() and with_suffix.exists() else path


def _identity(source: str) -> str:
    file = _file(source)
    return str(file.resolve()) if source not in brief_names() and file.is_file() else source


def _stamp(source: str) -> tuple[int, int] | None:
    try:
        stat = _file(source).stat()
    except OSError:
        return None
    return stat.st_mtime_ns, stat.st_size


def _short(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogateescape")).hexdigest()[:16]
