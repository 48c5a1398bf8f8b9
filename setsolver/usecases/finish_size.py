"""How large a print is: what is wished, what its crop has, and where both lie on the frame."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Final

from setsolver.domain.geometry import Box
from setsolver.domain.outcome import SetFrame
from setsolver.domain.units import CM_PER_INCH, MM_PER_INCH
from setsolver.errors import BadInput, FrameRefused
from setsolver.render.resample import Grid, grid_of
from setsolver.render.save import Format, OutProfile
from setsolver.scaling import LEAST_SIDE

__all__ = ["LEAST_PPI", "MOST_PPI", "Size", "Wish", "same_picture"]

LEAST_PPI: Final = 0.1
MOST_PPI: Final = 1_000_000
"""Pixels per inch of a print. libvips tells a JPEG's in thousandths of 32 bits, and no TIFF's below 0.01."""


@dataclass(frozen=True, slots=True)
class Wish:
    """How prints are wanted. ppi : at most. proof : small files for a message instead, of so many pixels' long side.

    ppi : ``LEAST_PPI`` to ``MOST_PPI``; another one raises BadInput.
    web : also make a JPEG in sRGB of so many pixels' long side, at most. paper : what the lab is to
    print on, in its own words.
    """

    profile: OutProfile
    ppi: float = 300.0
    format: Format = "tiff"
    bleed_mm: float = 0.0
    border_mm: float = 0.0
    proof: int | None = None
    web: int | None = None
    paper: str = ""

    def __post_init__(self) -> None:
        """Refuse a resolution that no file tells, before anything is made."""
        if not LEAST_PPI <= self.ppi <= MOST_PPI:
            raise BadInput(
                f"{self.ppi:g} pixels per inch are no resolution that every file can tell; ask for {LEAST_PPI:g} to "
                f"{MOST_PPI:,} pixels per inch"
            )


class Size:
    """Pixels of a print: never more than the crop has.

    width, height : of the crop on the print. bleed, border : pixels on each side. outer : the crop with its bleed,
    in the same fractions as the crop. Raises FrameRefused where that are fewer pixels per inch than a file can tell.
    """

    def __init__(self, frame: SetFrame, wish: Wish) -> None:
        self._frame = frame
        self.width_cm, self.height_cm = frame.position.width_cm, frame.position.height_cm
        long_cm, long_px = max(self.width_cm, self.height_cm), max(frame.crop_width, frame.crop_height)
        self.available = long_px / long_cm * CM_PER_INCH
        self.ppi = min(wish.ppi, self.available)
        if wish.proof is not None:
            self.ppi = min(self.ppi, wish.proof / long_cm * CM_PER_INCH)
        if self.ppi < LEAST_PPI:
            raise FrameRefused(
                f"its crop of {frame.crop_width} x {frame.crop_height} pixels gives a print of {self.width_cm:g} x "
                f"{self.height_cm:g} cm {self.ppi:.2g} pixels per inch, and not every file can tell fewer than "
                f"{LEAST_PPI:g}; make the print smaller"
            )
        self.width = max(1, round(self.width_cm / CM_PER_INCH * self.ppi))
        self.height = max(1, round(self.height_cm / CM_PER_INCH * self.ppi))
        self.bleed = ceil(wish.bleed_mm / MM_PER_INCH * self.ppi) if wish.bleed_mm else 0
        self.border = round(wish.border_mm / MM_PER_INCH * self.ppi)
        self.inner = Box(*frame.crop)
        across, down = self.bleed * self.inner.w / self.width, self.bleed * self.inner.h / self.height
        self.outer = Box(self.inner.x - across, self.inner.y - down, self.inner.w + 2 * across, self.inner.h + 2 * down)

    @property
    def margin(self) -> int:
        """Pixels around the crop on the file."""
        return self.bleed + self.border

    @property
    def file(self) -> tuple[int, int]:
        """Width and height of the file."""
        return self.width + 2 * self.margin, self.height + 2 * self.margin

    def outer_grid(self, width: int, height: int) -> Grid:
        """Return the grid of the crop with its bleed on a frame of a width and height."""
        size = self.width + 2 * self.bleed, self.height + 2 * self.bleed
        return grid_of(self.outer, self._frame.level_degrees, (width, height), size)

    def inner_grid(self, width: int, height: int, long_side: int | None = None) -> Grid:
        """Return the grid of the crop alone, at its own size or smaller, by its long side."""
        scale = 1.0 if long_side is None else min(1.0, long_side / max(self.width, self.height))
        least = 1 if long_side is None else LEAST_SIDE
        size = max(least, round(self.width * scale)), max(least, round(self.height * scale))
        return grid_of(self.inner, self._frame.level_degrees, (width, height), size)

    def said(self, wish: Wish) -> list[str]:
        """Return what is to be said of it."""
        said = []
        if wish.proof is None and self.available < wish.ppi - 0.5:
            said.append(
                f"printed at {self.available:.0f} pixels per inch, all that its crop of {self._frame.crop_width} x "
                f"{self._frame.crop_height} pixels has; nothing was enlarged"
            )
        if self.bleed and (self.outer.x < 0 or self.outer.y < 0 or self.outer.right > 1 or self.outer.bottom > 1):
            said.append("its crop reaches the frame's edge: the bleed there is the picture mirrored")
        return said


def same_picture(frame: SetFrame, width: int, height: int, *, raw: bool) -> None:
    """Refuse an original of another size; developing may give a RAW some pixels more or less than its header says."""
    spare = 0.02 * max(frame.width, frame.height) if raw else 0
    if abs(width - frame.width) > spare or abs(height - frame.height) > spare:
        raise FrameRefused(
            f"it has {width} x {height} pixels now and had {frame.width} x {frame.height} when the set was made; bring "
            "that file back, or make the set again with `setsolver suggest`"
        )
