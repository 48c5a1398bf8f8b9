"""What a person can do on the board, as records that a page sends: nothing else is understood, and no path is among it.

Frames are named by keys that the board gave out (``view.key_of``).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated

from pydantic import BaseModel, Field, TypeAdapter, ValidationError

from setsolver.domain.brief import CropWish
from setsolver.errors import BadInput
from setsolver.usecases.board.acts import act
from setsolver.usecases.board.acts.frames import Bar, Crop, Free, FreeAll, Pin, PinMany, Rate, RateMany, Rescale, Turn
from setsolver.usecases.board.acts.sets import Finish, Forget, Keep, MakeAlbum, Name, Put, Recall, SetAside, StopFinish
from setsolver.usecases.board.acts.wishes import BeginAgain, Change, Redo, TakeIn, Undo, Way, Weigh

__all__ = [
    "Act",
    "Bar",
    "BeginAgain",
    "Change",
    "Crop",
    "Finish",
    "Forget",
    "Free",
    "FreeAll",
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
    "TakeIn",
    "Turn",
    "Undo",
    "Way",
    "Weigh",
    "read_act",
    "read_framing",
    "read_lines",
    "read_stop",
]

Act = Annotated[
    Pin
    | Bar
    | Free
    | FreeAll
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
    | TakeIn
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


def read_stop(content: bytes) -> str:
    """Return the token of the act that is to be stopped. Raises BadInput where none is named."""
    try:
        return _Stop.model_validate_json(content).token
    except ValidationError as error:
        raise BadInput("this names no act that could be stopped") from error


class _Stop(BaseModel):
    model_config = act.Act.model_config

    token: act.Key


class _Lines(act.Act):
    lines: Annotated[str, Field(max_length=1_000_000)]


def read_framing(given: Mapping[str, str]) -> CropWish:
    """Return how a print is to be framed, of numbers as text. Raises BadInput where they are none, or out of range."""
    try:
        return CropWish.model_validate({name: float(text) for name, text in given.items()})
    except ValueError as error:
        raise BadInput("a print is framed by numbers: x, y and share from 0 to 1, level in degrees") from error
