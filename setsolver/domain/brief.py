"""What set is wanted: the brief as a checked model.

A brief is a TOML file; ``setsolver.catalog`` and friends never see it, rules do. Reading the file and naming lines in
errors is ``setsolver.usecases.briefs``'s work; the model says what is allowed.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, field_validator, model_validator

from setsolver.domain.geometry import parse_aspect
from setsolver.domain.measures import SCALES

__all__ = ["Brief", "FrameWishes", "LayoutWish", "Repeats", "RoleWish", "ToneWish", "Weights"]

Points = Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)]
Lab = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]


class Part(BaseModel):
    """Base of every part: unknown keys are errors, values do not change."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class RoleWish(Part):
    """How many frames play a role, and what may play it.

    In a brief, ``wide = [1, 2]`` is short for ``wide = { count = [1, 2] }``. match : for a role of one's own,
    "keyword:WORD" (the frame carries that keyword) or "path:GLOB" (its path in the catalog fits).
    """

    count: tuple[Annotated[int, Field(ge=0)], Annotated[int, Field(ge=0)]]
    match: Annotated[str, Field(pattern=r"^(keyword|path):.+")] | None = None

    @model_validator(mode="before")
    @classmethod
    def _short_form(cls, value: Any) -> Any:
        return {"count": value} if isinstance(value, list | tuple) else value

    @field_validator("count")
    @classmethod
    def _in_order(cls, count: tuple[int, int]) -> tuple[int, int]:
        if count[0] > count[1]:
            raise ValueError(f"the least, {count[0]}, is above the most, {count[1]}")
        return count


class ToneAmounts(Part):
    """An amount for each tone: L* for black, mid and white, a*b* units for the cast."""

    black: Lab
    mid: Lab
    white: Lab
    cast: Lab


class Reach(ToneAmounts):
    """How far a frame may be corrected towards the look."""

    black: Lab = 4
    mid: Lab = 8
    white: Lab = 6
    cast: Lab = 4


class Slack(ToneAmounts):
    """How far from the look a frame may be left."""

    black: Lab = 1
    mid: Lab = 3
    white: Lab = 1
    cast: Lab = 1


class ToneWish(Part):
    """Treatment, reach and slack."""

    treatment: Literal["colour", "mono"] = "colour"
    reach: Reach = Reach()
    slack: Slack = Slack()


class Repeats(Part):
    """At most so many frames of one moment and of one scene; None = as many as you like (moment stays at 1)."""

    moment: Annotated[int, Field(ge=1)] = 1
    scene: Annotated[int, Field(ge=1)] | None = None


class FrameWishes(Part):
    """Frames that must be in or must be out, by path in the catalog or a glob of paths."""

    include: tuple[str, ...] = ()
    exclude: tuple[str, ...] = ()


class Weights(Part):
    """Points that a frame (quality, role, composition, rating) or the set (variety) can earn.

    tone : points lost for one unit of effort, L* or a*b*, beyond the slack.
    """

    quality: Points = 40
    role: Points = 20
    composition: Points = 15
    rating: Points = 10
    variety: Points = 12
    tone: Points = 1.0


class LayoutWish(Part):
    """How the set hangs or stands.

    kind : "row", "grid" (with columns), "pair" (two facing pages), "story" (a row that wraps, in time order).
    order : "role" (wide to close), "time", or "tone".
    """

    kind: Literal["row", "grid", "pair", "story"] = "row"
    columns: Annotated[int, Field(ge=1, le=50)] | None = None
    gap_cm: Annotated[float, Field(ge=0, le=200)] = 6
    order: Literal["role", "time", "tone"] = "role"


class Brief(Part):
    """A whole brief.

    size : frames in the set. aspect : shared crop, "width:height". print_cm : long edge of each print. min_ppi : pixels
    per inch that a print must have at least.
    """

    name: Annotated[str, Field(min_length=1, max_length=80, pattern=r"^[\w .-]+$")]
    says: Annotated[str, Field(max_length=300)] = ""
    size: Annotated[int, Field(ge=1, le=200)]
    aspect: str = "3:2"
    print_cm: Annotated[float, Field(gt=0, le=1000)] = 30
    min_ppi: Annotated[float, Field(gt=0, le=2400)] = 150
    roles: dict[str, RoleWish] = Field(default_factory=dict)
    tone: ToneWish = ToneWish()
    repeats: Repeats = Repeats()
    frames: FrameWishes = FrameWishes()
    weights: Weights = Weights()
    layout: LayoutWish = LayoutWish()

    @field_validator("aspect")
    @classmethod
    def _aspect(cls, text: str) -> str:
        parse_aspect(text)
        return text

    @model_validator(mode="after")
    def _roles_fit(self) -> Self:
        for name, role in self.roles.items():
            if name not in SCALES and role.match is None:
                known = ", ".join(SCALES)
                raise ValueError(f'role {name!r} is not defined: use {known}, or give it match = "keyword:..."')
        least = sum(role.count[0] for role in self.roles.values())
        if least > self.size:
            raise ValueError(f"the roles ask for at least {least} frames, the size is {self.size}")
        if self.roles and sum(role.count[1] for role in self.roles.values()) < self.size:
            raise ValueError(f"the roles allow fewer than {self.size} frames, which is the size")
        return self

    @property
    def role_names(self) -> tuple[str, ...]:
        """Roles in the problem's order: as written in the brief, or the three scales where it names none."""
        return tuple(self.roles) or SCALES

    @property
    def aspect_ratio(self) -> float:
        """Width over height of the shared crop."""
        return parse_aspect(self.aspect)
