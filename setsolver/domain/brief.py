"""What set is wanted: the brief as a checked model.

A brief is a TOML file; ``setsolver.catalog`` and friends never see it, rules do. Reading the file and naming lines in
errors is ``setsolver.usecases.briefs``'s work; the model says what is allowed.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import ConfigDict, Field, field_validator, model_validator

from setsolver.domain.document import Part
from setsolver.domain.geometry import parse_aspect
from setsolver.domain.measures import SCALES
from setsolver.domain.wall import WallWish

__all__ = ["Brief", "FrameWishes", "LayoutWish", "Repeats", "RoleWish", "ToneWish", "Weights"]

NAME = "letters, digits, spaces, dots, dashes and underscores, at most 80"
COUNT = "least and most frames, such as [1, 2]; each a whole number from 0 to 200"
MATCH = '"keyword:WORD" or "path:GLOB"'
Points = Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)]
Lab = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]
Frames = Annotated[int, Field(ge=0, le=200)]
Paths = Annotated[
    tuple[Annotated[str, Field(min_length=1, description="a path or glob, not empty")], ...],
    Field(strict=False, description='a list of paths or globs, such as ["yard/0012.jpg", "kiln/*"]'),
]


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

    include: Paths = ()
    exclude: Paths = ()


class Weights(Part):
    """Points that a frame (quality, role, composition, rating) or the set (variety) can earn.

    variety : for each frame, so many points a unit of mean squared distance to the others (0 = same, 2 = unrelated).
    tone : points lost for one unit of effort, L* or a*b*, beyond the slack.

    Further keys are weights of terms that other packages bring; whether there is such a term is told where the brief
    is loaded, for the model knows no terms.
    """

    model_config = ConfigDict(extra="allow")
    __pydantic_extra__: dict[str, Points] = Field(init=False)

    quality: Points = 40
    role: Points = 20
    composition: Points = 15
    rating: Points = 10
    variety: Points = 12
    tone: Points = 1.0

    @property
    def further(self) -> dict[str, float]:
        """Weights of terms that other packages bring, by key."""
        return dict(self.__pydantic_extra__)

    def of(self, name: str) -> float:
        """Return the weight of a key; 0 for a further one that the brief does not give."""
        return float(getattr(self, name, 0.0))


class LayoutWish(Part):
    """How the set hangs or stands.

    kind : the name of a layout kind (``setsolver.layout.kinds`` lists them). columns : prints a row, for "grid" and
    "story". gap_cm : between prints, or between their frames. order : "role" (wide to close), "time", or "tone".
    align : for "line", what stands at one height.
    """

    kind: Annotated[str, Field(min_length=1, max_length=40)] = "row"
    columns: Annotated[int, Field(ge=1, le=50)] | None = None
    gap_cm: Annotated[float, Field(ge=0, le=200)] = 6
    order: Literal["role", "time", "tone"] = "role"
    align: Literal["top", "middle", "bottom"] = "middle"


class Brief(Part):
    """A whole brief.

    size : frames in the set. aspect : shared crop, "width:height". print_cm : long edge of each print. min_ppi : pixels
    per inch that a print must have at least. wall : where the set will hang, None = a wall that nobody measured.
    """

    name: Annotated[str, Field(min_length=1, max_length=80, pattern=r"^[\w .-]+$", description=NAME)]
    says: Annotated[str, Field(max_length=300, description="a sentence of at most 300 characters")] = ""
    size: Annotated[int, Field(ge=1, le=200)]
    aspect: Annotated[str, Field(description='a text of width:height, such as "3:2"')] = "3:2"
    print_cm: Annotated[float, Field(gt=0, le=1000)] = 30
    min_ppi: Annotated[float, Field(gt=0, le=2400)] = 150
    roles: dict[str, RoleWish] = Field(default_factory=dict)
    tone: ToneWish = ToneWish()
    repeats: Repeats = Repeats()
    frames: FrameWishes = FrameWishes()
    weights: Weights = Weights()
    layout: LayoutWish = LayoutWish()
    wall: WallWish | None = None

    @field_validator("aspect")
    @classmethod
    def _aspect(cls, text: str) -> str:
        try:
            parse_aspect(text)
        except ValueError as error:
            raise ValueError("no aspect; write width:height, such as 3:2") from error
        return text

    @field_validator("roles")
    @classmethod
    def _roles_are_known(cls, roles: dict[str, RoleWish]) -> dict[str, RoleWish]:
        unknown = [name for name, role in roles.items() if name not in SCALES and role.match is None]
        if unknown:
            known = ", ".join(SCALES)
            raise ValueError(f"nobody defined {', '.join(unknown)}; use {known}, or give a role a match")
        return roles

    @model_validator(mode="after")
    def _roles_fit(self) -> Self:
        least = sum(role.count[0] for role in self.roles.values())
        most = sum(role.count[1] for role in self.roles.values())
        if least > self.size:
            raise ValueError(
                f"the roles ask for at least {least} frames, but size is {self.size}; raise size to {least}"
            )
        if self.roles and most < self.size:
            raise ValueError(f"the roles allow at most {most} frames, but size is {self.size}; let a role have more")
        return self

    @property
    def role_names(self) -> tuple[str, ...]:
        """Roles in the problem's order: as written in the brief, or the three scales where it names none."""
        return tuple(self.roles) or SCALES

    @property
    def aspect_ratio(self) -> float:
        """Width over height of the shared crop."""
        return parse_aspect(self.aspect)
