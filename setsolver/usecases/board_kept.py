"""What the board keeps beside the index: a working copy of the brief, and choices as JSON lines; each written whole.

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
from setsolver.domain.choice import ChoiceRecord
from setsolver.errors import BadBrief, BadInput
from setsolver.reading import read_within
from setsolver.usecases.brief_file import brief_text_of
from setsolver.usecases.briefs import brief_names, load_brief, parse_brief
from setsolver.writing import write_own

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief

__all__ = ["Kept"]

BOARD_FOLDER = "board"
_HEAD = "# Working copy of the board; begun from the brief with digest "
_MOST_BRIEF, _MOST_CHOICES = 4_000_000, 200_000_000
"""Bytes read at most. A working copy may name a hundred thousand frames."""


class Kept:
    """The files of one brief and catalog.

    Attributes
    ----------
    brief_file : the working copy. choices_file : one ``setsolver/choice`` a line.
    catalog : as choices name it: from their file's own folder where they lie in the catalog, so that both can be moved.
    begun : digest of the brief that the working copy was begun from, None before there is one.
    """

    def __init__(self, folder: Path, source: str) -> None:
        self.source = source
        self.brief = load_brief(source)
        stem = f"{re.sub(r'[^A-Za-z0-9_-]+', '-', self.brief.name)}-{_short(_identity(source))}"
        home = index_file(folder).parent / BOARD_FOLDER
        home.mkdir(exist_ok=True)
        self.brief_file, self.choices_file = home / f"{stem}.toml", home / "choices.jsonl"
        inside = home.resolve().is_relative_to(folder.resolve())
        self.catalog = os.path.relpath(folder.resolve(), home.resolve()) if inside else str(folder.resolve())
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
    def edited(self) -> bool:
        """True where the brief that the user named is another one than the working copy was begun from."""
        return self.begun is not None and self.begun != digest_of(self.brief)

    def choose(self, record: ChoiceRecord) -> None:
        """Add a choice to the file. Raises BadInput where it cannot be written."""
        self._write_choices([*self._choices(), record.model_dump_json()])

    def unchoose(self, record: ChoiceRecord) -> None:
        """Take a choice back: the last line that says it. Raises BadInput where the file cannot be written."""
        lines, gone = self._choices(), record.model_dump_json()
        if gone in lines:
            del lines[len(lines) - 1 - lines[::-1].index(gone)]
            self._write_choices(lines)

    def _choices(self) -> list[str]:
        if not self.choices_file.is_file():
            return []
        return read_within(self.choices_file, _MOST_CHOICES).decode().splitlines()

    def _write_choices(self, lines: list[str]) -> None:
        write_own(self.choices_file, "".join(f"{line}\n" for line in lines).encode(), _holds_choices)

    def _is_mine(self, path: Path) -> bool:
        return self._written is not None and path.read_bytes() == self._written


def digest_of(brief: Brief) -> str:
    """Return what tells a brief from another one, whatever its file's comments."""
    return _short(brief_text_of(brief))


def _holds_choices(path: Path) -> bool:
    lines = path.read_bytes().splitlines()
    return all(line.startswith(b'{"format":"setsolver/choice"') for line in lines)


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
