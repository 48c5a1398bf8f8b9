"""Who plays what: the [roles] and the [[slot]] tables of a brief."""

from __future__ import annotations

from typing import Annotated, Any, Self

from pydantic import BeforeValidator, ConfigDict, Field, field_validator, model_validator

from setsolver.domain.document import Part
from setsolver.domain.geometry import parse_aspect
from setsolver.domain.measures import SCALES

__all__ = ["ASPECT", "PixelsPerInch", "PrintLength", "RoleWish", "SlotWish", "an_aspect"]

ASPECT = 'a text of width:height, such as "3:2"'
COUNT = "least and most frames, such as [1, 2]; each a whole number from 0 to 200"
MATCH = '"keyword:WORD" or "path:GLOB"'
Frames = Annotated[int, Field(ge=0, le=200)]
PrintLength = Annotated[float, Field(gt=0, le=1000)]
PixelsPerInch = Annotated[float, Field(gt=0, le=2400)]


def an_aspect(text: str) -> str:
    """Return a text that is an aspect; a ValueError where it is none."""
    try:
        parse_aspect(text)
    except ValueError as error:
        raise ValueError("no aspect; write width:height, such as 3:2") from error
    return text


def _ordered(count: tuple[int, int]) -> tuple[int, int]:
    if count[0] > count[1]:
        raise ValueError(f"the least, {count[0]}, is above the most, {count[1]}")
    return count


def _with_short_form(schema: dict[str, Any]) -> None:
    """Let the schema, too, take ``[1, 2]`` for ``{ count = [1, 2] }``."""
    whole = dict(schema)
    schema.clear()
    schema["anyOf"] = [whole["properties"]["count"], whole]
    schema["$comment"] = f"{COUNT}; or a table with the keys count and match"


class RoleWish(Part):
    """How many frames play a role, and what may play it.

    In a brief, ``wide = [1, 2]`` is short for ``wide = { count = [1, 2] }``. match : for a role of one's own,
    "keyword:WORD" (the frame carries that keyword, case aside) or "path:GLOB" (its path in the catalog fits; ``*`` also
    crosses folders). A scale with a match is then judged by the match alone.
    """

    model_config = ConfigDict(json_schema_extra=_with_short_form)

    count: Annotated[tuple[Frames, Frames], Field(strict=False, description=COUNT)]
    match: Annotated[str, Field(pattern=r"^(keyword|path):.+", description=MATCH)] | None = None

    @model_validator(mode="before")
    @classmethod
    def _short_form(cls, value: Any) -> Any:
        return {"count": value} if isinstance(value, list | tuple) else value

    @field_validator("count")
    @classmethod
    def _in_order(cls, count: tuple[int, int]) -> tuple[int, int]:
        return _ordered(count)


def _count_of_slot(value: Any) -> Any:
    return (value, value) if isinstance(value, int) and not isinstance(value, bool) else value


def _with_number(schema: dict[str, Any]) -> None:
    """Let the schema, too, take ``4`` for ``[4, 4]``."""
    whole = dict(schema)
    schema.clear()
    schema["anyOf"] = [{"type": "integer", "minimum": 0, "maximum": 200}, whole]
    schema["$comment"] = f"a whole number of frames, or {COUNT}"


class SlotWish(Part):
    """One ``[[slot]]``: who may play it, how many, and how they are printed.

    role : "wide", "medium" or "close", or with a match a word of one's own. match : as in a role; one of the two is
    needed. count : 1 unless said; ``4`` is short for ``[4, 4]``. name : the role's unless said. aspect, print_cm,
    min_ppi : the brief's unless said.
    """

    role: Annotated[str, Field(min_length=1, max_length=40, description='"wide", "medium" or "close"')] | None = None
    match: Annotated[str, Field(pattern=r"^(keyword|path):.+", description=MATCH)] | None = None
    name: Annotated[str, Field(min_length=1, max_length=40, description="a text of at most 40 characters")] | None = (
        None
    )
    count: Annotated[
        tuple[Frames, Frames], Field(strict=False, json_schema_extra=_with_number), BeforeValidator(_count_of_slot)
    ] = (1, 1)
    aspect: Annotated[str, Field(description=ASPECT)] | None = None
    print_cm: PrintLength | None = None
    min_ppi: PixelsPerInch | None = None

    @field_validator("count")
    @classmethod
    def _in_order(cls, count: tuple[int, int]) -> tuple[int, int]:
        return _ordered(count)

    @field_validator("aspect")
    @classmethod
    def _aspect(cls, text: str | None) -> str | None:
        return None if text is None else an_aspect(text)

    @model_validator(mode="after")
    def _somebody_may_play_it(self) -> Self:
        if self.match is None and self.role not in SCALES:
            known = ", ".join(SCALES)
            who = "says not who may play it" if self.role is None else f"has a role that nobody defined, {self.role}"
            raise ValueError(f"a slot {who}; give it a role ({known}) or a match ({MATCH})")
        return self

    @property
    def called(self) -> str:
        """Its name: as said, or else its role's, or else what it matches."""
        return self.name or self.role or str(self.match).partition(":")[2]
