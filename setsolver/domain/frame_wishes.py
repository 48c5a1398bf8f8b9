"""Wishes about single frames: in, out, in which slot, how often alike, and framed by hand."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from setsolver.domain.document import Part

__all__ = ["CropWish", "FrameWishes", "Repeats"]

Paths = Annotated[
    tuple[Annotated[str, Field(min_length=1, description="a path or glob, not empty")], ...],
    Field(strict=False, description='a list of paths or globs, such as ["yard/0012.jpg", "kiln/*"]'),
]
Share = Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)]


class Repeats(Part):
    """At most so many frames of one moment and of one scene; None = as many as you like (moment stays at 1).

    twins : chance, 0 to 1, that a viewer calls two frames repeats of each other, from which they are never both in;
    1 = let all be in.
    """

    moment: Annotated[int, Field(ge=1)] = 1
    scene: Annotated[int, Field(ge=1)] | None = None
    twins: Annotated[float, Field(ge=0.05, le=1, allow_inf_nan=False)] = 0.06


class FrameWishes(Part):
    """Frames that must be in or must be out, by path in the catalog or a glob of paths.

    slots : the only slot that a frame may play, by its path and the slot's name.
    """

    include: Paths = ()
    exclude: Paths = ()
    slots: dict[str, Annotated[str, Field(min_length=1, max_length=40)]] = Field(default_factory=dict)


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
