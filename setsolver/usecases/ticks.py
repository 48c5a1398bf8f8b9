"""What clients sent back with proof sheets: ticks, a preferred set and notes, read and put together."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pydantic import ValidationError

from setsolver.domain.choice import ChoiceRecord
from setsolver.errors import BadInput
from setsolver.reading import read_within
from setsolver.rules.words import in_a_row

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence
    from pathlib import Path

    from setsolver.domain.brief import Brief

__all__ = ["Answer", "answers_in", "read_answers", "ticked_by", "with_ticks"]

MOST_BYTES = 1_000_000
"""Of a file that a client sends back; one line has some thousand."""


@dataclass(frozen=True)
class Answer:
    """One client's answer. key : tells it from others. by : the client's name, or words for none."""

    record: ChoiceRecord

    @property
    def key(self) -> str:
        """Sixteen digits of its content."""
        return hashlib.sha256(self.record.model_dump_json().encode()).hexdigest()[:16]

    @property
    def by(self) -> str:
        """The client's name."""
        return self.record.by.strip() or "a client without a name"


def answers_in(text: str, what: str) -> list[Answer]:
    """Return the answers of a file's text, one a line. what : the file, for errors.

    Raises
    ------
    BadInput
        With the line, where one is no answer, or where there is none.
    """
    found = []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        try:
            found.append(Answer(ChoiceRecord.model_validate_json(line)))
        except ValidationError as error:
            first = error.errors()[0]
            where = ".".join(map(str, first["loc"])) or "the whole"
            raise BadInput(
                f"{what}, line {number}: no answer of a proof sheet ({where}: {first['msg']}); ask the client for the "
                "file that the sheet saved"
            ) from error
    if not found:
        raise BadInput(f"{what} holds no answer; ask the client for the file that the sheet saved")
    return found


def read_answers(files: Sequence[Path]) -> list[Answer]:
    """Return the answers of files. Raises BadInput with the file, where one cannot be read or holds none."""
    found: list[Answer] = []
    for file in files:
        try:
            text = read_within(file, MOST_BYTES).decode("utf-8")
        except (OSError, UnicodeDecodeError) as error:
            raise BadInput(f"{file}: cannot be read as text: {error}; name a file that a client sent back") from error
        found += answers_in(text, str(file))
    return found


def ticked_by(answers: Iterable[Answer]) -> dict[str, list[str]]:
    """Return for each path that was ticked by whom, each client once."""
    found = defaultdict[str, list[str]](list)
    for answer in answers:
        for path in dict.fromkeys(answer.record.kept):
            if answer.by not in found[path]:
                found[path].append(answer.by)
    return dict(found)


def with_ticks(brief: Brief, answers: Sequence[Answer], known: Collection[str]) -> tuple[Brief, tuple[str, ...]]:
    """Return the brief with the frames wished in that all who ticked any have ticked, and sentences on who ticked what.

    Parameters
    ----------
    known : paths of the catalog; what was ticked of another one is said, and counts for nothing.
    """
    by = ticked_by(answers)
    clients = {answer.by for answer in answers if answer.record.kept}
    agreed = [path for path, names in by.items() if path in known and set(names) == clients]
    says = [f"{path} was ticked by {in_a_row(sorted(names))}" for path, names in by.items() if path in known]
    says += [f"{path}, which was ticked, is not in the catalog" for path in by if path not in known]
    if agreed:
        says.append(f"wished in, as all who ticked agree: {in_a_row(agreed)}")
    for path in agreed:
        if path not in brief.frames.include:
            brief = brief.wishing(path)
    return brief, tuple(says)
