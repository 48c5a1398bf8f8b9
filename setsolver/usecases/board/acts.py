"""What a person can do on the board, as records that a page sends: nothing else is understood, and no path is among it.

Frames are named by keys that the board gave out (``view.key_of``).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

from setsolver.domain.brief import CropWish
from setsolver.errors import BadInput

__all__ = [
    "Act",
    "Bar",
    "BeginAgain",
    "Change",
    "Crop",
    "Finish",
    "Forget",
    "Free",
    "Keep",
    "MakeAlbum",
    "Name",
    "Pin",
    "PinMany",
    "Put",
    "Rate",
    "RateMany",
    "Recall",
    "Redo",
    "Rescale",
    "SetAside",
    "StopFinish",
    "Turn",
    "Undo",
    "Way",
    "Weigh",
    "read_act",
    "read_framing",
    "read_lines",
]

MOST_RATED = 150
"""Frames that one act may rate: what a page gathers while an answer is worked out."""
Stars = Annotated[int, Field(ge=0, le=5)] | None
Key = Annotated[str, Field(pattern=r"^[0-9a-f]{16}$")]


class _Act(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


class Pin(_Act):
    """Let a frame be in. slot : the only one that it may play, by its name; None = whichever serves."""

    do: Literal["pin"]
    frame: Key
    slot: Annotated[str, Field(min_length=1, max_length=40)] | None = None


class Bar(_Act):
    """Let a frame be out, or its whole folder."""

    do: Literal["bar"]
    frame: Key
    folder: bool = False


class Free(_Act):
    """Let a frame be neither pinned nor barred."""

    do: Literal["free"]
    frame: Key


class Rate(_Act):
    """Give a frame stars; None takes them back."""

    do: Literal["rate"]
    frame: Key
    stars: Stars


class RateMany(_Act):
    """Give stars to several frames at once, as one change."""

    do: Literal["rate many"]
    stars: Annotated[dict[Key, Stars], Field(min_length=1, max_length=MOST_RATED)]


class Crop(_Act):
    """Frame a print by hand.

    x, y : the middle of the crop, in fractions of the levelled frame; None = where measures put it. share : of the
    largest crop's sides; None = whichever serves. level : degrees counter-clockwise; None = as measured.
    """

    do: Literal["crop"]
    frame: Key
    x: Annotated[float, Field(ge=0, le=1, strict=False)] | None = None
    y: Annotated[float, Field(ge=0, le=1, strict=False)] | None = None
    share: Annotated[float, Field(gt=0, le=1, strict=False)] | None = None
    level: Annotated[float, Field(ge=-45, le=45, strict=False)] | None = None


class Turn(_Act):
    """Turn a frame a quarter clockwise, on top of what was said before."""

    do: Literal["turn"]
    frame: Key


class Rescale(_Act):
    """Say what a frame shows; None leaves it to the measure."""

    do: Literal["rescale"]
    frame: Key
    scale: Literal["wide", "medium", "close"] | None


class Weigh(_Act):
    """Set one weight, in points."""

    do: Literal["weigh"]
    term: Annotated[str, Field(min_length=1, max_length=80)]
    points: Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False, strict=False)]


class Change(_Act):
    """Set one rule of the brief (``rules``); None takes away one that may be absent."""

    do: Literal["change"]
    key: Annotated[str, Field(min_length=1, max_length=120)]
    value: (
        Annotated[float, Field(ge=0, le=10_000, allow_inf_nan=False, strict=False)]
        | Annotated[str, Field(max_length=40)]
        | None
    )


class Put(_Act):
    """Put a frame where another one hangs. others : "stay" where they are, or may "answer" by changing too."""

    do: Literal["put"]
    frame: Key
    instead: Key
    others: Literal["stay", "answer"]


class Keep(_Act):
    """Prefer an alternate that was shown, by its number from 2, at a revision of the board."""

    do: Literal["keep"]
    number: Annotated[int, Field(ge=2, le=21)]
    revision: int


class Way(_Act):
    """Take a way out of a clash that was shown, by its number from 1, at a revision of the board."""

    do: Literal["way"]
    number: Annotated[int, Field(ge=1, le=20)]
    revision: int


class Name(_Act):
    """Keep the set on the wall, or an alternate that was shown, as a version with a name."""

    do: Literal["name"]
    name: Annotated[str, Field(min_length=1, max_length=60, pattern=r"^\S.*$")]
    number: Annotated[int, Field(ge=1, le=21)] = 1
    revision: int


class Recall(_Act):
    """Hang a version again.

    over : other versions that were looked at beside it, wall : True where the set on the wall was, too; then it is a
    choice.
    """

    do: Literal["recall"]
    version: Key
    over: Annotated[tuple[Key, ...], Field(max_length=20, strict=False)] = ()
    wall: bool = False


class Forget(_Act):
    """Throw a version away."""

    do: Literal["forget"]
    version: Key


class Finish(_Act):
    """Make the prints of the set on the wall. ppi : at most. proof : small ones for a message."""

    do: Literal["finish"]
    format: Literal["tiff", "jpeg"] = "tiff"
    ppi: Annotated[float, Field(ge=30, le=2400, strict=False)] = 300.0
    proof: bool = False


class MakeAlbum(_Act):
    """Make a book of the catalog. brief : of an album, one that comes with setsolver."""

    do: Literal["album"]
    brief: Annotated[str, Field(pattern=r"^[a-z][a-z-]{0,39}$")]


class StopFinish(_Act):
    """Stop making prints or a book; what is whole stays."""

    do: Literal["stop finish"]


class PinMany(_Act):
    """Let several frames be in, as one change."""

    do: Literal["pin many"]
    frames: Annotated[tuple[Key, ...], Field(min_length=1, max_length=200, strict=False)]


class SetAside(_Act):
    """Take a client's answer out."""

    do: Literal["set aside"]
    client: Key


class BeginAgain(_Act):
    """Go back to the brief as its owner wrote it."""

    do: Literal["begin again"]


class Undo(_Act):
    """Take back the last change."""

    do: Literal["undo"]


class Redo(_Act):
    """Make the change again that was taken back."""

    do: Literal["redo"]


Act = Annotated[
    Pin
    | Bar
    | Free
    | Rate
    | RateMany
    | Turn
    | Rescale
    | Crop
    | Weigh
    | Change
    | Put
    | Keep
    | Way
    | Name
    | Recall
    | Forget
    | PinMany
    | SetAside
    | Finish
    | MakeAlbum
    | StopFinish
    | BeginAgain
    | Undo
    | Redo,
    Field(discriminator="do"),
]
_READER: TypeAdapter[Act] = TypeAdapter(Act)


def read_act(content: bytes) -> Act:
    """Return the act that a JSON document stands for.

    Raises
    ------
    BadInput
        Where it is none.
    """
    try:
        return _READER.validate_json(content)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"]) or "the whole"
        raise BadInput(f"this is nothing that the board can do ({where}: {first['msg']})") from error


def read_lines(content: bytes) -> str:
    """Return the text of a file that a page sends. Raises BadInput where it sends anything else."""
    try:
        return _Lines.model_validate_json(content).lines
    except ValidationError as error:
        raise BadInput("this is no file that the board can read") from error


class _Lines(_Act):
    lines: Annotated[str, Field(max_length=1_000_000)]


def read_framing(given: Mapping[str, str]) -> CropWish:
    """Return how a print is to be framed, of numbers as text. Raises BadInput where they are none, or out of range."""
    try:
        return CropWish.model_validate({name: float(text) for name, text in given.items()})
    except ValueError as error:
        raise BadInput("a print is framed by numbers: x, y and share from 0 to 1, level in degrees") from error
