"""What set is wanted: the brief as a checked model.

A brief is a TOML file; ``setsolver.catalog`` and friends never see it, rules do. Reading the file and naming lines in
errors is ``setsolver.usecases.briefs``'s work; the model says what is allowed.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, ConfigDict, Field, field_validator, model_validator

from setsolver.domain.album_wish import AlbumWish
from setsolver.domain.document import Part
from setsolver.domain.geometry import parse_aspect
from setsolver.domain.measures import SCALES
from setsolver.domain.rendition import FURTHER_AXES
from setsolver.domain.slot import Slot
from setsolver.domain.wall import WallWish

__all__ = [
    "AlbumWish",
    "Brief",
    "CropWish",
    "FrameWishes",
    "LayoutWish",
    "Part",
    "Points",
    "Repeats",
    "RoleWish",
    "Rules",
    "SlotWish",
    "ToneWish",
    "Weights",
]

NAME = "letters, digits, spaces, dots, dashes and underscores, at most 80"
SLOTS = "tables [[slot]] with the keys role or match, count, aspect, print_cm, min_ppi and name"
COUNT = "least and most frames, such as [1, 2]; each a whole number from 0 to 200"
MATCH = '"keyword:WORD" or "path:GLOB"'
Points = Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)]
Lab = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]
Frames = Annotated[int, Field(ge=0, le=200)]
PrintLength = Annotated[float, Field(gt=0, le=1000)]
PixelsPerInch = Annotated[float, Field(gt=0, le=2400)]
ASPECT = 'a text of width:height, such as "3:2"'
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


def _ordered(count: tuple[int, int]) -> tuple[int, int]:
    if count[0] > count[1]:
        raise ValueError(f"the least, {count[0]}, is above the most, {count[1]}")
    return count


def _an_aspect(text: str) -> str:
    try:
        parse_aspect(text)
    except ValueError as error:
        raise ValueError("no aspect; write width:height, such as 3:2") from error
    return text


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
        return None if text is None else _an_aspect(text)

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


class ToneAmounts(Part):
    """An amount for each tone: L* for black, mid and white, a*b* units for the cast.

    vignette : EV between centre and corners. grain : L*, standard deviation on a picture of 1280 pixels' long side.
    Without them, those two do not count.
    """

    black: Lab
    mid: Lab
    white: Lab
    cast: Lab
    vignette: Annotated[float, Field(ge=0, le=5, allow_inf_nan=False)] | None = None
    grain: Annotated[float, Field(ge=0, le=20, allow_inf_nan=False)] | None = None


class Reach(ToneAmounts):
    """How far a frame may be corrected towards the look.

    With the slack, what holds 99 of 100 sets that editors picked by eye (benchmarks/taste).
    """

    black: Lab = 24
    mid: Lab = 31
    white: Lab = 27
    cast: Lab = 22


class Slack(ToneAmounts):
    """How far from the look a frame may be left: about what half of such sets differ by."""

    black: Lab = 6
    mid: Lab = 14
    white: Lab = 8
    cast: Lab = 8


class ToneWish(Part):
    """Treatment, reach and slack."""

    treatment: Literal["colour", "mono"] = "colour"
    reach: Reach = Reach()
    slack: Slack = Slack()

    @model_validator(mode="after")
    def _both_or_neither(self) -> Self:
        for axis in FURTHER_AXES:
            reach, slack = getattr(self.reach, axis), getattr(self.slack, axis)
            if (reach is None) is not (slack is None):
                given, missing = ("slack", "reach") if reach is None else ("reach", "slack")
                raise ValueError(
                    f"{axis} has a {given} and no {missing}; give both, or neither where it is not to count"
                )
        return self


class Repeats(Part):
    """At most so many frames of one moment and of one scene; None = as many as you like (moment stays at 1).

    twins : chance, 0 to 1, that a viewer calls two frames repeats of each other, from which they are never both in;
    1 = let all be in.
    """

    moment: Annotated[int, Field(ge=1)] = 1
    scene: Annotated[int, Field(ge=1)] | None = None
    twins: Annotated[float, Field(ge=0.05, le=1, allow_inf_nan=False)] = 0.2


class FrameWishes(Part):
    """Frames that must be in or must be out, by path in the catalog or a glob of paths.

    slots : the only slot that a frame may play, by its path and the slot's name.
    """

    include: Paths = ()
    exclude: Paths = ()
    slots: dict[str, Annotated[str, Field(min_length=1, max_length=40)]] = Field(default_factory=dict)


Share = Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)]


class CropWish(Part):
    """A print framed by hand.

    x, y : the middle of the crop, in fractions of the levelled frame, both or neither; without them measures place it.
    share : its sides against those of the largest crop; without it, what serves best of those that are tried.
    level : degrees counter-clockwise by which the frame is levelled; without it as measured.
    """

    x: Share | None = None
    y: Share | None = None
    share: Annotated[float, Field(ge=0.1, le=1, allow_inf_nan=False)] | None = None
    level: Annotated[float, Field(ge=-45, le=45, allow_inf_nan=False)] | None = None

    @model_validator(mode="after")
    def _says_where(self) -> Self:
        if (self.x is None) != (self.y is None):
            raise ValueError("a crop has x and y, or neither")
        return self

    @property
    def framed(self) -> bool:
        """True where the user says what the crop holds, and not only how it is levelled."""
        return self.x is not None or self.share is not None


class Weights(Part):
    """Points that a frame can earn (appeal to role), and that the set can earn (variety) or lose (the rest).

    Defaults are the weights of the default taste; a brief read from a file takes those of the taste that it names.

    variety : for each frame, so many points a unit of mean squared distance to the others (0 = same, 2 = unrelated).
    mono : points lost by a black-and-white frame among colour ones, or the reverse.
    content, light, palette, time : points lost for each unit beyond the slack by which a frame lies off the set: of the
    catalog's own spread, of L*, of a*b*, of doublings of an hour.
    tone : points lost for one unit of effort, L* or a*b*, beyond the slack.

    Further keys are weights of terms that other packages bring; whether there is such a term is told where the brief
    is loaded, for the model knows no terms.
    """

    model_config = ConfigDict(extra="allow")
    __pydantic_extra__: dict[str, Points] = Field(init=False)

    appeal: Points = 60
    solid: Points = 52
    people: Points = 22
    kept: Points = 20
    composition: Points = 20
    rating: Points = 15
    quality: Points = 6
    role: Points = 8
    variety: Points = 0
    mono: Points = 25
    content: Points = 8.5
    light: Points = 0.12
    palette: Points = 0.08
    time: Points = 0.85
    tone: Points = 0.05

    @property
    def further(self) -> dict[str, float]:
        """Weights of terms that other packages bring, by key."""
        return dict(self.__pydantic_extra__)

    def of(self, name: str) -> float:
        """Return the weight of a key; 0 for a further one that the brief does not give."""
        return float(getattr(self, name, 0.0))


def _plain(value: Any) -> Any:
    if isinstance(value, bool | int | float | str) and len(str(value)) <= MOST_PLAIN and value == value:  # noqa: PLR0124 - nan
        return value
    raise ValueError("neither a number nor a text, true or false")


MOST_PLAIN = 300
Plain = Annotated[Any, BeforeValidator(_plain), Field(description=f"a number, a text of at most {MOST_PLAIN}, or true")]


class Rules(Part):
    """Keys of hard rules that other packages bring: a number, a text, true or false each.

    Which there are, and what each may be, is told where the brief is loaded, for the model knows no terms.
    """

    model_config = ConfigDict(extra="allow")
    __pydantic_extra__: dict[str, Plain] = Field(init=False)

    @property
    def given(self) -> dict[str, bool | float | str]:
        """The keys that the brief gives, with their values."""
        return dict(self.__pydantic_extra__)


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


Line = Annotated[str, Field(max_length=120, description="a line of at most 120 characters")]


def _size_or_album(schema: dict[str, Any]) -> None:
    """Let the schema, too, ask for a size only where no album says how many frames there are."""
    schema["required"] = [key for key in schema["required"] if key != "size"]
    schema["allOf"] = [{"anyOf": [{"required": ["size"]}, {"required": ["album"]}]}]


class Brief(Part):
    """A whole brief.

    size : frames in the set. aspect : crop, "width:height". print_cm : long edge of each print. min_ppi : pixels per
    inch that a print must have at least; all three hold for every slot that does not say otherwise. roles : slots that
    share them, or slot : slots one by one; not both. wall : where the set will hang, None = a
    wall that nobody measured. rules : keys of rules that other packages bring. title, client, photographer : lines on
    the proof sheet; without a title it takes the name. captions : a line for a frame, crops : prints framed by hand;
    both by the frame's path in the catalog.
    """

    model_config = ConfigDict(json_schema_extra=_size_or_album)

    name: Annotated[str, Field(min_length=1, max_length=80, pattern=r"^[\w .-]+$", description=NAME)]
    says: Annotated[str, Field(max_length=300, description="a sentence of at most 300 characters")] = ""
    title: Line = ""
    client: Line = ""
    photographer: Line = ""
    captions: dict[str, Line] = Field(default_factory=dict)
    size: Annotated[int, Field(ge=1, le=200)]
    aspect: Annotated[str, Field(description=ASPECT)] = "3:2"
    print_cm: PrintLength = 30
    min_ppi: PixelsPerInch = 150
    roles: dict[str, RoleWish] = Field(default_factory=dict)
    slot: Annotated[tuple[SlotWish, ...], Field(strict=False, description=SLOTS)] = ()
    tone: ToneWish = ToneWish()
    repeats: Repeats = Repeats()
    frames: FrameWishes = FrameWishes()
    crops: dict[str, CropWish] = Field(default_factory=dict)
    taste: Annotated[str, Field(min_length=1, description="the name of a taste, or a TOML file of one")] = "default"
    weights: Weights = Weights()
    rules: Rules = Rules()
    layout: LayoutWish = LayoutWish()
    wall: WallWish | None = None
    album: AlbumWish | None = None

    @model_validator(mode="before")
    @classmethod
    def _size_of_an_album(cls, given: Any) -> Any:
        """Ask for no size where a book's spreads say it."""
        if isinstance(given, dict) and given.get("album") is not None and "size" not in given:
            return given | {"size": 1}
        return given

    @field_validator("aspect")
    @classmethod
    def _aspect(cls, text: str) -> str:
        return _an_aspect(text)

    @field_validator("roles")
    @classmethod
    def _roles_are_known(cls, roles: dict[str, RoleWish]) -> dict[str, RoleWish]:
        unknown = [name for name, role in roles.items() if name not in SCALES and role.match is None]
        if unknown:
            known = ", ".join(SCALES)
            raise ValueError(f"nobody defined {', '.join(unknown)}; use {known}, or give a role a match")
        return roles

    @model_validator(mode="after")
    def _slots_fit(self) -> Self:
        if self.album is not None:
            return self._album_fits()
        if self.roles and self.slot:
            raise ValueError("roles and slots both say who plays what; keep [roles] or the [[slot]] tables")
        names = [slot.name for slot in self.slots]
        for name in names:
            if names.count(name) > 1:
                raise ValueError(f"{names.count(name)} slots are called {name}; give each a name of its own")
        whose = "slots" if self.slot else "roles"
        least, most = (sum(getattr(slot, end) for slot in self.slots) for end in ("least", "most"))
        if least > self.size:
            raise ValueError(
                f"the {whose} ask for at least {least} frames, but size is {self.size}; raise size to {least}"
            )
        if most < self.size:
            raise ValueError(f"the {whose} allow at most {most} frames, but size is {self.size}; let one have more")
        return self

    def _album_fits(self) -> Self:
        if self.roles or self.wall is not None:
            other = "[roles]" if self.roles else "[wall]"
            raise ValueError(f"{other} speaks of prints and [album] of a book; take one of them out")
        if self.size != 1:
            raise ValueError("the spreads of an album say how many frames there are; take size out")
        return self

    @property
    def slots(self) -> tuple[Slot, ...]:
        """Slots in the problem's order: as written in the brief, or one for each scale where it names none."""
        if self.slot:
            return tuple(self._slot(wish) for wish in self.slot)
        wishes = self.roles or dict.fromkeys(SCALES, RoleWish(count=(0, self.size)))
        return tuple(
            self._slot(SlotWish.model_construct(role=name, match=wish.match, count=wish.count))
            for name, wish in wishes.items()
        )

    def _slot(self, wish: SlotWish) -> Slot:
        return Slot(
            name=wish.called,
            role=wish.role or wish.called,
            match=wish.match,
            least=wish.count[0],
            most=wish.count[1],
            aspect=wish.aspect or self.aspect,
            print_cm=wish.print_cm or self.print_cm,
            min_ppi=wish.min_ppi or self.min_ppi,
        )

    @property
    def role_names(self) -> tuple[str, ...]:
        """Names of the slots, in the problem's order."""
        return tuple(slot.name for slot in self.slots)

    def wishing(self, path: str) -> Self:
        """Return the brief with one more frame wished in."""
        frames = self.frames.model_copy(update={"include": (*self.frames.include, path)})
        return self.model_copy(update={"frames": frames})

    @property
    def aspect_ratio(self) -> float:
        """Width over height of the crop that slots share unless they say otherwise."""
        return parse_aspect(self.aspect)
