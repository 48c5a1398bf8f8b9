"""What album is wanted: the ``[album]`` table of a brief."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, field_validator, model_validator

from setsolver.domain.document import Part
from setsolver.domain.measures import SCALES

__all__ = ["AlbumWish", "EndWish"]

PAGE = "width and height of a page in centimetres, such as [21, 28]"
SPREADS = "a whole number of spreads, or least and most, such as [20, 40]; each from 1 to 200"
DENSITY = "least and most pictures a spread, on average over the book, such as [1.5, 4]"
KINDS = 'a list of names of spread kinds, such as ["single", "quiet"]'
MATCH = '"keyword:WORD" or "path:GLOB"'
Side = Annotated[float, Field(ge=5, le=120, allow_inf_nan=False)]
Millimetres = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]
Spreads = Annotated[int, Field(ge=1, le=200)]
PerSpread = Annotated[float, Field(ge=1, le=12, allow_inf_nan=False)]
Points = Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)]
Names = Annotated[
    tuple[Annotated[str, Field(min_length=1, max_length=40)], ...], Field(strict=False, description=KINDS)
]


def _twice(value: Any) -> Any:
    return (value, value) if isinstance(value, int) and not isinstance(value, bool) else value


def _with_number(schema: dict[str, Any]) -> None:
    """Let the schema, too, take ``12`` for ``[12, 12]``."""
    whole = dict(schema)
    schema.clear()
    schema["anyOf"] = [{"type": "integer", "minimum": 1, "maximum": 200}, whole]
    schema["$comment"] = SPREADS


class EndWish(Part):
    """How the book opens or closes. kinds : of the spread, none = any. role, match : what its leading picture shows."""

    kinds: Names = ()
    role: Annotated[str, Field(description='"wide", "medium" or "close"')] | None = None
    match: Annotated[str, Field(pattern=r"^(keyword|path):.+", description=MATCH)] | None = None

    @field_validator("role")
    @classmethod
    def _a_scale(cls, role: str | None) -> str | None:
        if role is not None and role not in SCALES:
            raise ValueError(f"no shot scale; write {', '.join(SCALES)}")
        return role


class AlbumWish(Part):
    """Pages, spreads and the order of a book. A spread is two facing pages.

    page_cm : trimmed width and height of one page. bleed_mm : picture beyond the trim. safe_mm : from the trim inwards,
    where nothing that matters may lie. gutter_mm : what the fold swallows of each page. gap_mm : between pictures.
    spreads : least and most. density : least and most pictures a spread, on average. chapters : at most so many;
    neighbours that follow each other soonest are joined; None = half of the least number of spreads. order : "time", or
    "name" where times are not known. captions : from "keywords" or "titles" of the metadata, or "none"; what the
    brief's own ``captions`` say comes first. kinds : that may be used, none named = all. templates : a folder with
    further kinds. pace : points lost where two full or two quiet spreads follow each other. people : points lost for
    each picture by which a chapter shows people too often or too seldom. empty : points lost for each spread that
    leaves one of its pages without a picture.
    """

    page_cm: Annotated[tuple[Side, Side], Field(strict=False, description=PAGE)] = (30, 30)
    bleed_mm: Millimetres = 3
    safe_mm: Millimetres = 8
    gutter_mm: Millimetres = 8
    gap_mm: Millimetres = 4
    spreads: Annotated[
        tuple[Spreads, Spreads],
        Field(strict=False, description=SPREADS, json_schema_extra=_with_number),
        BeforeValidator(_twice),
    ] = (12, 20)
    density: Annotated[tuple[PerSpread, PerSpread], Field(strict=False, description=DENSITY)] = (1.5, 4)
    chapters: Annotated[int, Field(ge=1, le=200)] | None = None
    order: Literal["time", "name"] = "time"
    opening: EndWish = EndWish()
    closing: EndWish = EndWish()
    captions: Literal["none", "keywords", "titles"] = "none"
    kinds: Names = ()
    templates: Annotated[str, Field(max_length=4096, description="a folder of TOML files")] = ""
    pace: Points = 30
    people: Points = 10
    empty: Points = 25

    @field_validator("spreads", "density")
    @classmethod
    def _in_order(cls, bounds: tuple[float, float]) -> tuple[float, float]:
        if bounds[0] > bounds[1]:
            raise ValueError(f"the least, {bounds[0]:g}, is above the most, {bounds[1]:g}")
        return bounds

    @model_validator(mode="after")
    def _margins_leave_a_page(self) -> Self:
        width, height = self.live_cm
        if width < 2 or height < 2:
            raise ValueError(
                f"a page of {self.page_cm[0]:g} by {self.page_cm[1]:g} cm leaves {max(0.0, width):.1f} by "
                f"{max(0.0, height):.1f} cm inside safe_mm = {self.safe_mm:g} and gutter_mm = {self.gutter_mm:g}, and "
                "pictures need 2 cm at least; make the page larger or the margins smaller"
            )
        return self

    @property
    def live_cm(self) -> tuple[float, float]:
        """Width and height of a page inside its safe margin and clear of the fold."""
        inner = max(self.safe_mm, self.gutter_mm)
        return self.page_cm[0] - (self.safe_mm + inner) / 10, self.page_cm[1] - 2 * self.safe_mm / 10

    @property
    def most_chapters(self) -> int:
        """At most so many chapters."""
        return self.chapters or max(1, self.spreads[0] // 2)
