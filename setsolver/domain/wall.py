"""The wall that a brief may name: its measures as written, checked, and turned into centimetres."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from setsolver.domain.document import Part
from setsolver.domain.plan import CENTRE_CM, Keepout, Stair, Wall
from setsolver.domain.units import CM_PER_INCH

__all__ = ["DROP_CM", "MARGIN_CM", "PhotographWish", "StairWish", "Stretch", "WallWish"]

DROP_CM = 5.0
"""From the top edge of a frame to its wire under load, unless measured: 2 inches in the worked example of
beecham.ca."""
MARGIN_CM = 16.0
"""Kept around openings and furniture: 6 to 8 inches from a seat to the frame above it (us.ok.com, mipiece.com)."""

Length = Annotated[float, Field(ge=0, le=10_000, allow_inf_nan=False)]
Corner = Annotated[
    tuple[Annotated[float, Field(allow_inf_nan=False)], Annotated[float, Field(allow_inf_nan=False)]],
    Field(strict=False),
]
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


class PhotographWish(Part):
    """A photograph of the wall, on which the prints are shown in perspective.

    file : its path, from the brief's own folder. corners : of a rectangle on the wall, in pixels of the upright
    photograph from its upper left corner: upper left, upper right, lower right, lower left. width : of that rectangle,
    in the unit of the wall. height : the same, None = told by perspective. left, bottom : of its lower left corner.
    """

    file: Annotated[str, Field(min_length=1, description="a path of a photograph")]
    corners: Annotated[
        tuple[Corner, Corner, Corner, Corner],
        Field(strict=False, description="four pairs of pixels, such as [[410, 300], [3600, 340], ...]"),
    ]
    width: Extent
    height: Extent | None = None
    left: Length = 0
    bottom: Length = 0

    @model_validator(mode="after")
    def _goes_round(self) -> Self:
        if not goes_round(self.corners):
            raise ValueError(
                "the corners go round no rectangle; give them as upper left, upper right, lower right, lower left"
            )
        return self

    def in_cm(self, unit: str) -> Self:
        """Return it with its lengths in centimetres."""
        one = CM_PER_INCH if unit == "inch" else 1.0
        lengths = {"width": self.width * one, "left": self.left * one, "bottom": self.bottom * one}
        return self.model_copy(update={**lengths, "height": None if self.height is None else self.height * one})


def goes_round(corners: tuple[tuple[float, float], ...]) -> bool:
    """Tell whether four points of a picture go round clockwise, each to the right of the way between its neighbours."""
    turns = []
    for i in range(4):
        (ax, ay), (bx, by), (cx, cy) = corners[i - 1], corners[i], corners[(i + 1) % 4]
        turns.append((bx - ax) * (cy - by) - (by - ay) * (cx - bx))
    return min(turns) > 0


class WallWish(Part):
    """A wall as its owner measures it; every number in ``unit``.

    centre : height of the centre line above the floor. mount, frame : width on each side of a print. drop : from the
    top edge of a frame to its wire under load, held as it will hang. hooks : in the wall for each frame. margin : kept
    around what must stay clear. photograph : of the wall itself.
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
    photograph: PhotographWish | None = None

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
