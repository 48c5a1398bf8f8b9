"""What a person can do on the board, as records that a page sends: nothing else is understood, and no path is among it.

Frames are named by keys that the board gave out (``board_view.key_of``).
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

from setsolver.errors import BadInput

__all__ = [
    "Act",
    "Bar",
    "BeginAgain",
    "Change",
    "Free",
    "Keep",
    "Nearest",
    "Pin",
    "Put",
    "Rate",
    "Redo",
    "Rescale",
    "Turn",
    "Undo",
    "Weigh",
    "read_act",
]

Key = Annotated[str, Field(pattern=r"^[0-9a-f]{16}$")]


class _Act(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


class Pin(_Act):
    """Let a frame be in."""

    do: Literal["pin"]
    frame: Key


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
    stars: Annotated[int, Field(ge=0, le=5)] | None


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
    """Set one rule of the brief (``board_rules``); None takes away one that may be absent."""

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


class Nearest(_Act):
    """Take the nearest brief that has a set."""

    do: Literal["nearest"]


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
    Pin | Bar | Free | Rate | Turn | Rescale | Weigh | Change | Put | Keep | Nearest | BeginAgain | Undo | Redo,
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
