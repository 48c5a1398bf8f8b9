"""Where every print of a set hangs or stands, in centimetres, and what that rests on: the wall or the pages."""

from __future__ import annotations

from typing import Literal

from setsolver.domain.document import Document

__all__ = ["CAUTIONS", "CENTRE_CM", "Keepout", "Placed", "Plan", "Stair", "Wall"]

CENTRE_CM = 145.0
"""Height of the centre line above the floor unless a brief says otherwise. No standard fixes one: guides give 57 inches
(144.8 cm; beecham.ca, lorenphotos.com), 145 to 152 cm (askvity.info, fineartshippers.com), 145 to 150 cm (homify.sg),
and a US Navy course 66 inches (NAVEDTRA 14065, p. 4-4); so it is a setting."""

CAUTIONS = (
    (
        "This plan gives sizes and places only. Before hanging, check the weight of each framed print, the type of "
        "wall and the rating of the fasteners for both; follow local building codes, and call a licensed trade where "
        "they ask for one."
    ),
    (
        "Large framed pictures do not belong over beds, chairs or couches; where one hangs there all the same, use "
        "closed hooks."
    ),
    (
        "Sizes are those of the prints unless mounts and frames are named. No standard fixes a hanging height: the "
        "middle of a set is commonly hung 145 to 152 cm above the floor, lower where short or seated viewers matter."
    ),
)
"""For walls; none of it says that a plan is safe. Beds and seats: FEMA, "Mount framed pictures and mirrors securely",
how2015, April 2008, and FEMA 528, October 2014; closed hooks: earthquakecountry.org."""


class Placed(Document):
    """Where a print hangs or stands in the layout: left, top, width and height in centimetres from its top left."""

    x_cm: float
    y_cm: float
    width_cm: float
    height_cm: float


class Keepout(Document):
    """A rectangle of the wall that stays free: left edge from the left corner, lower edge from the floor."""

    left_cm: float
    bottom_cm: float
    width_cm: float
    height_cm: float
    what: str = ""


class Stair(Document):
    """A stair along the wall: rise and run of a step, where the first riser stands, and to which side it climbs."""

    rise_cm: float
    run_cm: float
    foot_cm: float
    up: Literal["left", "right"]

    @property
    def slope(self) -> float:
        """Centimetres up for each centimetre to the right, < 0 where the stair climbs to the left."""
        return self.rise_cm / self.run_cm * (1 if self.up == "right" else -1)


class Wall(Document):
    """A wall in centimetres.

    unit : in which its owner measures. centre_cm : height of the centre line above the floor (above the line over the
    noses of the steps for a stair). mount_cm, frame_cm : width of the mount that shows and of the frame, on each side.
    drop_cm : from the top edge of the frame down to its wire under load; drop_given : False where nobody measured it.
    hooks : in the wall for each frame. margin_cm : kept around each keepout.
    """

    unit: Literal["cm", "inch"] = "cm"
    width_cm: float
    height_cm: float
    centre_cm: float
    mount_cm: float = 0.0
    frame_cm: float = 0.0
    drop_cm: float
    drop_given: bool = False
    hooks: Literal[1, 2] = 1
    margin_cm: float = 0.0
    clear: tuple[Keepout, ...] = ()
    stair: Stair | None = None

    @property
    def border_cm(self) -> float:
        """What mount and frame add to a print on each side."""
        return self.mount_cm + self.frame_cm


class Plan(Document):
    """A layout as a whole, in centimetres.

    kind : the name of the layout kind. width_cm, height_cm : over all, with mounts and frames. gap_cm : between frames.
    rows : prints in each row, from the top; for a spread, on each page; empty for a cluster. places : of the prints, in
    the order of the set, from the top left of the whole. pages : the facing pages, empty for a wall. says : the layout
    in a sentence. border_cm : mount and frame around each print. wall : None where the brief names none. left_cm : left
    edge of the whole from the wall's left corner, None without a wall. top_cm : top edge of the whole above the floor,
    None for pages. centre_cm : the centre line above the floor, None for pages.
    """

    kind: str
    width_cm: float
    height_cm: float
    gap_cm: float
    rows: tuple[int, ...]
    places: tuple[Placed, ...] = ()
    pages: tuple[Placed, ...] = ()
    says: str
    border_cm: float = 0.0
    wall: Wall | None = None
    left_cm: float | None = None
    top_cm: float | None = None
    centre_cm: float | None = None

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to check before hanging; nothing for pages."""
        return () if self.pages else CAUTIONS

    @property
    def frames(self) -> tuple[Placed, ...]:
        """Outer edges of mount and frame around each print; the prints themselves where there is neither."""
        b = self.border_cm
        return tuple(
            Placed(x_cm=p.x_cm - b, y_cm=p.y_cm - b, width_cm=p.width_cm + 2 * b, height_cm=p.height_cm + 2 * b)
            for p in self.places
        )
