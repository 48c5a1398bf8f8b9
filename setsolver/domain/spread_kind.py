"""A kind of spread as data: which pictures stand where on two facing pages, in shares of the pages.

A kind is a TOML file; ``layout.pages`` makes centimetres of it for a page.
"""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, field_validator, model_validator

from setsolver.domain.document import Part
from setsolver.domain.geometry import parse_aspect
from setsolver.domain.measures import SCALES

__all__ = ["PlaceWish", "SpreadKind"]

Share = Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)]
BOX = "left, top, width and height in shares of the area, such as [0, 0, 0.5, 1]"
Area = Literal["left", "right", "spread"]


class PlaceWish(Part):
    """One ``[[place]]``: pictures that share a size and a part to play.

    name : of the part; a ``[[slot]]`` of the brief of that name says who may play it. area : the page, or both. reach :
    "bleed" to beyond the trim, "page" to the trim's safe margin. box : in the area, one for each picture; inner edges
    stay half a gap apart. aspect : the largest picture of this aspect in the box; "" fills it. align : where such a
    picture stands in its box, 0 = left or top. role : the shot scale that it shows, None = any.
    """

    name: Annotated[str, Field(min_length=1, max_length=40)]
    area: Area
    reach: Literal["bleed", "page"] = "page"
    box: Annotated[
        tuple[Annotated[tuple[Share, Share, Share, Share], Field(strict=False, description=BOX)], ...],
        Field(strict=False, min_length=1, max_length=12),
    ]
    aspect: str = ""
    align: Annotated[tuple[Share, Share], Field(strict=False)] = (0.5, 0.5)
    role: str | None = None

    @field_validator("aspect")
    @classmethod
    def _an_aspect(cls, text: str) -> str:
        if text:
            parse_aspect(text)
        return text

    @field_validator("role")
    @classmethod
    def _a_scale(cls, role: str | None) -> str | None:
        if role is not None and role not in SCALES:
            raise ValueError(f"no shot scale; write {', '.join(SCALES)}")
        return role

    @field_validator("box")
    @classmethod
    def _inside(cls, boxes: tuple[tuple[float, ...], ...]) -> tuple[tuple[float, ...], ...]:
        for number, (x, y, w, h) in enumerate(boxes, start=1):
            if w <= 0 or h <= 0 or x + w > 1 + 1e-9 or y + h > 1 + 1e-9:
                raise ValueError(f"box {number} leaves its area or is empty; x + width and y + height are at most 1")
        return boxes


class SpreadKind(Part):
    """A kind of spread. pace : "full" or "quiet". mirror : may also be used with left and right exchanged."""

    name: Annotated[str, Field(min_length=1, max_length=40, pattern=r"^[\w-]+$")]
    says: Annotated[str, Field(max_length=200)]
    pace: Literal["full", "quiet"]
    mirror: bool = False
    place: Annotated[tuple[PlaceWish, ...], Field(strict=False, min_length=1)]

    @model_validator(mode="after")
    def _named_once(self) -> Self:
        names = [place.name for place in self.place]
        for name in names:
            if names.count(name) > 1:
                raise ValueError(f"{names.count(name)} places are called {name}; give each a name, or it more boxes")
        return self

    @property
    def pictures(self) -> int:
        """How many pictures stand on it."""
        return sum(len(place.box) for place in self.place)
