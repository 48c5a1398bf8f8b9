"""What a person can do with sets: put a swap in, keep, name, finish."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from setsolver.usecases.board.acts.act import Act, Key

__all__ = ["Finish", "Forget", "Keep", "MakeAlbum", "Name", "Put", "Recall", "SetAside", "StopFinish"]


class Put(Act):
    """Put a frame where another one hangs. others : "stay" where they are, or may "answer" by changing too."""

    do: Literal["put"]
    frame: Key
    instead: Key
    others: Literal["stay", "answer"]


class Keep(Act):
    """Prefer an alternate that was shown, by its number from 2, at a revision of the board."""

    do: Literal["keep"]
    number: Annotated[int, Field(ge=2, le=21)]
    revision: int


class Name(Act):
    """Keep the set on the wall, or an alternate that was shown, as a version with a name."""

    do: Literal["name"]
    name: Annotated[str, Field(min_length=1, max_length=60, pattern=r"^\S.*$")]
    number: Annotated[int, Field(ge=1, le=21)] = 1
    revision: int


class Recall(Act):
    """Hang a version again.

    over : other versions that were looked at beside it, wall : True where the set on the wall was, too; then it is a
    choice.
    """

    do: Literal["recall"]
    version: Key
    over: Annotated[tuple[Key, ...], Field(max_length=20, strict=False)] = ()
    wall: bool = False


class Forget(Act):
    """Throw a version away."""

    do: Literal["forget"]
    version: Key


class SetAside(Act):
    """Take a client's answer out."""

    do: Literal["set aside"]
    client: Key


class Finish(Act):
    """Make the prints of the set on the wall. ppi : at most. proof : small ones for a message."""

    do: Literal["finish"]
    format: Literal["tiff", "jpeg"] = "tiff"
    ppi: Annotated[float, Field(ge=30, le=2400, strict=False)] = 300.0
    proof: bool = False


class MakeAlbum(Act):
    """Make a book of the catalog. brief : of an album, one that comes with setsolver."""

    do: Literal["album"]
    brief: Annotated[str, Field(pattern=r"^[a-z][a-z-]{0,39}$")]


class StopFinish(Act):
    """Stop making prints or a book; what is whole stays."""

    do: Literal["stop finish"]
