"""What a person can do to frames."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from setsolver.usecases.board.acts.act import Act, Key, Stars

__all__ = ["Bar", "Crop", "Free", "FreeAll", "Pin", "PinMany", "Rate", "RateMany", "Rescale", "Turn"]


MOST_RATED = 150
"""Frames that one act may rate: what a page gathers while an answer is worked out."""


class Pin(Act):
    """Let a frame be in. slot : the only one that it may play, by its name; None = whichever serves."""

    do: Literal["pin"]
    frame: Key
    slot: Annotated[str, Field(min_length=1, max_length=40)] | None = None


class PinMany(Act):
    """Let several frames be in, as one change."""

    do: Literal["pin many"]
    frames: Annotated[tuple[Key, ...], Field(min_length=1, max_length=200, strict=False)]


class Bar(Act):
    """Let a frame be out, or its whole folder."""

    do: Literal["bar"]
    frame: Key
    folder: bool = False


class Free(Act):
    """Let a frame be neither pinned nor barred."""

    do: Literal["free"]
    frame: Key


class FreeAll(Act):
    """Let no frame be pinned any more; what is barred stays barred."""

    do: Literal["free all"]


class Rate(Act):
    """Give a frame stars; None takes them back."""

    do: Literal["rate"]
    frame: Key
    stars: Stars


class RateMany(Act):
    """Give stars to several frames at once, as one change."""

    do: Literal["rate many"]
    stars: Annotated[dict[Key, Stars], Field(min_length=1, max_length=MOST_RATED)]


class Crop(Act):
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


class Turn(Act):
    """Turn a frame a quarter clockwise, on top of what was said before."""

    do: Literal["turn"]
    frame: Key


class Rescale(Act):
    """Say what a frame shows; None leaves it to the measure."""

    do: Literal["rescale"]
    frame: Key
    scale: Literal["wide", "medium", "close"] | None
