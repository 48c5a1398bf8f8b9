"""A slot: a place in the set, who may play it, and the print that it asks for."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from setsolver.domain.cut import Cut
from setsolver.domain.geometry import parse_aspect
from setsolver.domain.units import CM_PER_INCH

__all__ = ["Slot", "pixels_needed"]


def pixels_needed(print_cm: float, min_ppi: float) -> int:
    """Return the least whole number of pixels along an edge of a print; 50 cm at 150 ppi need 2953."""
    return ceil(round(print_cm / CM_PER_INCH * min_ppi, 6))  # rounded: 25.4 cm at 300 ppi is 3000, not 3001


@dataclass(frozen=True, slots=True)
class Slot:
    """One kind of place in a set: a column of the problem's gain. A role of the short form is a slot, too.

    name : of the slot, unlike any other's. role : what it shows: "wide", "medium", "close", or the user's own word.
    match : "keyword:WORD" or "path:GLOB", which alone then says who may play it; None = the shot scale says.
    least, most : frames in it. aspect : "width:height" of its prints. print_cm : their long edge. min_ppi : pixels per
    inch that each must have. margin, strip : what of each print is trimmed or swallowed by a fold (``Cut``).
    """

    name: str
    role: str
    match: str | None
    least: int
    most: int
    aspect: str
    print_cm: float
    min_ppi: float
    margin: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    strip: tuple[float, float] = (0.0, 0.0)

    @property
    def cut(self) -> Cut:
        """What is asked of its crops."""
        return Cut(self.ratio, self.margin, self.strip)

    @property
    def ratio(self) -> float:
        """Width over height."""
        return parse_aspect(self.aspect)

    @property
    def pixels(self) -> int:
        """Least number of pixels along the long edge of a crop that is printed here."""
        return pixels_needed(self.print_cm, self.min_ppi)

    @property
    def size_cm(self) -> tuple[float, float]:
        """Width and height of its prints in centimetres."""
        ratio = self.ratio
        return (self.print_cm, self.print_cm / ratio) if ratio >= 1 else (self.print_cm * ratio, self.print_cm)
