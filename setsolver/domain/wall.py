"""The wall that a brief may name: its measures as written, checked, and turned into centimetres."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from setsolver.domain.document import Part
from setsolver.domain.plan import CENTRE_CM, Keepout, Stair, Wall
from setsolver.domain.units import CM_PER_INCH

__all__ = ["DROP_CM", "MARGIN_CM", "StairWish", "Stretch", "WallWish"]

DROP_CM = 5.0
"""From the top edge of a frame to its wire under load, unless measured: 2 inches in the worked example of
beecham.ca."""
MARGIN_CM = 16.0
"""Kept around openings and furniture: 6 to 8 inches from a seat to the frame above it (us.ok.com, mipiece.com)."""

Length = Annotated[float, Field(ge=0, le=10_000, allow_inf_nan=False)]
Extent = Annotated[float, Field(gt=0, le=10_000, allow_inf_nan=False)]


class Stretch(Part):
    """A rectangle to keep clear, such as a door, a window, a switch or a sofa.

    left : from the wall's left corner. bottom : from the floor. what : its name on the plan.
    """

    left: Length
    bottom: Length = 0
    width: Extent
    height: Extent
    what: Annotated[str, Field(max_length=40, description="a name of at most 40 characters")] = ""


class StairWish(Part):
    """A stair along the wall. foot : of the first riser from the left corner, None = at the corner it starts from."""

    rise: Extent
    run: Extent
    up: Literal["left", "right"] = "right"
    foot: Length | None = None


class WallWish(Part):
    """A wall as its owner measures it; every number in ``unit``.

    centre : height of the centre line above the floor. mount, frame : width on each side of a print. drop : from the
    top edge of a frame to its wire under load, held as it will hang. hooks : in the wall for each frame. margin : kept
    around what must stay clear.
    """

    unit: Literal["cm", "inch"] = "cm"
    width: Extent
    height: Extent
    centre: Extent | None = None
    mount: Length = 0
    frame: Length = 0
    drop: Length | None = None
    hooks: Literal[1, 2] = 1
    margin: Length | None = None
    clear: Annotated[
        tuple[Stretch, ...], Field(strict=False, description="tables with left, bottom, width, height")
    ] = ()
    stair: StairWish | None = None

    @model_validator(mode="after")
    def _holds(self) -> Self:
        if self.centre is not None and self.centre >= self.height:
            raise ValueError(
                f"the centre line, {self.centre:g}, is not below the top of the wall, {self.height:g}; lower centre"
            )
        for part in self.clear:
            if part.left + part.width > self.width or part.bottom + part.height > self.height:
                raise ValueError(
                    f"{part.what or 'a rectangle to keep clear'} reaches {part.left + part.width:g} from the left and "
                    f"{part.bottom + part.height:g} from the floor, beyond the wall of {self.width:g} by "
                    f"{self.height:g}; give only the part that lies on this wall"
                )
        return self

    def in_cm(self) -> Wall:
        """Return the wall in centimetres, with the defaults filled in."""
        one = CM_PER_INCH if self.unit == "inch" else 1.0
        return Wall(
            unit=self.unit,
            width_cm=self.width * one,
            height_cm=self.height * one,
            centre_cm=CENTRE_CM if self.centre is None else self.centre * one,
            mount_cm=self.mount * one,
            frame_cm=self.frame * one,
            drop_cm=DROP_CM if self.drop is None else self.drop * one,
            drop_given=self.drop is not None,
            hooks=self.hooks,
            margin_cm=MARGIN_CM if self.margin is None else self.margin * one,
            clear=tuple(_keepout(part, one) for part in self.clear),
            stair=None if self.stair is None else self._stair(self.stair, one),
        )

    def _stair(self, stair: StairWish, one: float) -> Stair:
        corner = 0.0 if stair.up == "right" else self.width
        foot = corner if stair.foot is None else stair.foot
        return Stair(rise_cm=stair.rise * one, run_cm=stair.run * one, foot_cm=foot * one, up=stair.up)


def _keepout(part: Stretch, one: float) -> Keepout:
    return Keepout(
        left_cm=part.left * one,
        bottom_cm=part.bottom * one,
        width_cm=part.width * one,
        height_cm=part.height * one,
        what=part.what,
    )
