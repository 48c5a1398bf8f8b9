"""What set is wanted: the brief as a checked model.

A brief is a TOML file; ``setsolver.catalog`` and friends never see it, rules do. Reading the file and naming lines in
errors is ``setsolver.usecases.briefs``'s work; the model says what is allowed. Its parts are had from here, too.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import ConfigDict, Field, field_validator, model_validator

from setsolver.domain.album_wish import AlbumWish
from setsolver.domain.document import Part
from setsolver.domain.frame_wishes import CropWish, FrameWishes, Repeats
from setsolver.domain.geometry import parse_aspect
from setsolver.domain.measures import SCALES
from setsolver.domain.slot import Slot
from setsolver.domain.slot_wish import ASPECT, PixelsPerInch, PrintLength, RoleWish, SlotWish, an_aspect
from setsolver.domain.tone_wish import ToneAmounts, ToneWish
from setsolver.domain.wall import WallWish
from setsolver.domain.weights import Points, Rules, Weights

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
    "ToneAmounts",
    "ToneWish",
    "Weights",
]

NAME = "letters, digits, spaces, dots, dashes and underscores, at most 80"
SLOTS = "tables [[slot]] with the keys role or match, count, aspect, print_cm, min_ppi and name"
Line = Annotated[str, Field(max_length=120, description="a line of at most 120 characters")]


class LayoutWish(Part):
    """How the set hangs or stands.

    kind : the name of a layout kind (``setsolver.layout.kinds`` lists them). columns : prints a row, for "grid" and
    "story". gap_cm : between prints, or between their frames. order : "role" (wide to close), "time", "tone", or
    "sequence" (as picture editors would show it).
    align : for "line", what stands at one height.
    """

    kind: Annotated[str, Field(min_length=1, max_length=40)] = "row"
    columns: Annotated[int, Field(ge=1, le=50)] | None = None
    gap_cm: Annotated[float, Field(ge=0, le=200)] = 6
    order: Literal["role", "time", "tone", "sequence"] = "role"
    align: Literal["top", "middle", "bottom"] = "middle"


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
        return an_aspect(text)

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
