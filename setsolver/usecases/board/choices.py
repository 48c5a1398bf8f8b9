"""The choices that people make on boards, one ``setsolver/choice`` a line, in a file that several boards share.

Each writes it whole, after a look at what stands there, while it holds the folder: none loses another's line.
"""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from setsolver.domain.choice import ChoiceRecord
from setsolver.reading import read_within
from setsolver.writing import alone_in, write_own

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

__all__ = ["Choices"]

_MOST_BYTES = 200_000_000


class Choices:
    """A file of choices. catalog : as its lines name it."""

    def __init__(self, file: Path, catalog: str) -> None:
        self.file, self.catalog = file, catalog

    def record(
        self, brief: str, chosen: Iterable[str], over: Iterable[Iterable[str]], by: str = "board"
    ) -> ChoiceRecord | None:
        """Return what a choice between sets says; None where there was nothing else to choose."""
        now = tuple(chosen)
        others = dict.fromkeys(tuple(paths) for paths in over)
        left = tuple(paths for paths in others if set(paths) != set(now))
        if not left:
            return None
        made = datetime.now().astimezone().isoformat(timespec="milliseconds")
        return ChoiceRecord(catalog=self.catalog, brief=brief, made=made, by=by, chosen=now, over=left)

    def add(self, record: ChoiceRecord) -> None:
        """Add a choice to the file. Raises BadInput where it cannot be written."""
        with alone_in(self.file.parent):
            self._write([*self._lines(), record.model_dump_json()])

    def take_back(self, record: ChoiceRecord) -> None:
        """Take a choice back: the last line that says it. Raises BadInput where the file cannot be written."""
        gone = record.model_dump_json()
        with alone_in(self.file.parent):
            lines = self._lines()
            if gone in lines:
                del lines[len(lines) - 1 - lines[::-1].index(gone)]
                self._write(lines)

    def _lines(self) -> list[str]:
        return read_within(self.file, _MOST_BYTES).decode().splitlines() if self.file.is_file() else []

    def _write(self, lines: list[str]) -> None:
        write_own(self.file, "".join(f"{line}\n" for line in lines).encode(), _holds_choices)


def _holds_choices(path: Path) -> bool:
    return all(line.startswith(b'{"format":"setsolver/choice"') for line in path.read_bytes().splitlines())
