"""A set that somebody preferred, as a line of a choices file (``setsolver/choice`` version 1)."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from setsolver.domain.document import Document

__all__ = ["ChoiceRecord"]


class ChoiceRecord(Document):
    """One line of a choices file: JSON lines, one choice a line.

    made : ISO 8601. chosen : paths of the preferred set, empty where the answer prefers none. over : paths of the other
    sets that were shown. kept : of the first set's prints, those that were ticked. notes : by "print 2" or "set 1".
    """

    format: Literal["setsolver/choice"] = "setsolver/choice"
    version: Literal[1] = 1
    catalog: str
    brief: str
    made: str
    by: str = ""
    chosen: tuple[str, ...]
    over: tuple[tuple[str, ...], ...]
    kept: tuple[str, ...] = ()
    notes: dict[str, str] = Field(default_factory=dict)
