"""Clients' answers on a board: read from files that a page sends, kept beside the choices, shown together."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from setsolver.errors import BadInput
from setsolver.output.view.words import counted, inert, moment, name_of
from setsolver.reading import read_within
from setsolver.usecases.board.rows import key_of
from setsolver.usecases.ticks import Answer, answers_in, ticked_by
from setsolver.writing import alone_in, write_own

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from setsolver.domain.frame import Frame

__all__ = ["Clients"]

_MOST_BYTES, _MOST_ANSWERS = 50_000_000, 500


class Clients:
    """The answers to one brief. file : one ``setsolver/choice`` a line; ``learn`` reads it, too."""

    def __init__(self, file: Path) -> None:
        self._file = file
        self._stamp: tuple[int, int] | None = None
        self._answers: list[Answer] = []

    def all(self) -> list[Answer]:
        """Return the answers in the order in which they came; the file is read again where another board wrote it."""
        try:
            stat = self._file.stat()
        except FileNotFoundError:
            self._stamp, self._answers = None, []
            return self._answers
        if (stat.st_mtime_ns, stat.st_size) != self._stamp:
            self._answers = answers_in(read_within(self._file, _MOST_BYTES).decode(), str(self._file))
            self._stamp = stat.st_mtime_ns, stat.st_size
        return self._answers

    def add(self, text: str, known: Mapping[str, Frame]) -> str:
        """Keep the answers of a file's text, and say whose they are. known : frames of the catalog by path.

        Raises
        ------
        BadInput
            Where it holds no answer, or only answers to another catalog.
        """
        given = answers_in(text, "the file")
        fits = [one for one in given if any(path in known for path in (*one.record.kept, *one.record.chosen))]
        fits += [one for one in given if not (one.record.kept or one.record.chosen) and one.record.notes]
        if not fits:
            raise BadInput("no frame that was ticked is in this catalog; this is the answer to another shoot")
        with alone_in(self._file.parent):
            there = self.all()
            keys = {one.key for one in there}
            new = [one for one in fits if one.key not in keys]
            if len(there) + len(new) > _MOST_ANSWERS:
                raise BadInput(f"{_MOST_ANSWERS} answers are kept already; set some aside first")
            self._write([*there, *new])
        if not new:
            return "This answer was read before."
        return f"{counted(len(new), 'answer')} read, by {', '.join(dict.fromkeys(inert(one.by) for one in new))}."

    def set_aside(self, key: str) -> str:
        """Take an answer out, and say so. Raises BadInput where there is none."""
        with alone_in(self._file.parent):
            there = self.all()
            gone = next((one for one in there if one.key == key), None)
            if gone is None:
                raise BadInput("this answer is not there any more")
            self._write([one for one in there if one.key != key])
        return f"The answer of {inert(gone.by)} is set aside."

    def view(self, known: Mapping[str, Frame]) -> dict[str, Any]:
        """Return the answers, and for each frame that was ticked by whom."""
        answers = self.all()
        by = {key_of(path): [*map(inert, names)] for path, names in ticked_by(answers).items() if path in known}
        return {"clients": [_answer(one, known) for one in answers], "ticked": by}

    def _write(self, answers: list[Answer]) -> None:
        if not answers:
            self._file.unlink(missing_ok=True)
            return
        lines = "".join(f"{one.record.model_dump_json()}\n" for one in answers)
        write_own(
            self._file, lines.encode(), lambda path: path.read_bytes().startswith(b'{"format":"setsolver/choice"')
        )


def _answer(one: Answer, known: Mapping[str, Frame]) -> dict[str, Any]:
    record = one.record
    return {
        "client": one.key,
        "by": inert(one.by),
        "made": moment(record.made),
        "kept": [key_of(path) for path in record.kept if path in known],
        "chosen": [key_of(path) for path in record.chosen if path in known],
        "gone": [name_of(path) for path in dict.fromkeys((*record.kept, *record.chosen)) if path not in known],
        "notes": [{"about": inert(about), "says": inert(says)} for about, says in record.notes.items()],
    }
