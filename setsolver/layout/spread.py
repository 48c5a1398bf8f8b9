"""Two facing pages of a spread: the smallest ISO 216 sheet that holds each page's prints, and their places on it."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import NamedTuple

from setsolver.domain.plan import Placed
from setsolver.layout.kind import span
from setsolver.layout.wall import hang

__all__ = ["LEAST_MARGIN_CM", "SHEETS", "Sheet", "facing_pages", "smallest_sheet"]

LEAST_MARGIN_CM = 1.3
"""Live copy keeps 1/2 inch (12.7 mm) off the binding edge (pressproof.com, bindery page); rounded up."""


class Sheet(NamedTuple):
    """A page: its name, width and height in centimetres."""

    name: str
    width_cm: float
    height_cm: float


SHEETS = tuple(
    Sheet(name, short / 10, long / 10)
    for name, short, long in (
        ("A6", 105, 148),
        ("A5", 148, 210),
        ("A4", 210, 297),
        ("A3", 297, 420),
        ("A2", 420, 594),
        ("A1", 594, 841),
        ("A0", 841, 1189),
    )
)
"""Trimmed sizes of ISO 216:2007, series A, upright, from the smallest."""


def smallest_sheet(width: float, height: float) -> Sheet:
    """Return the smallest A sheet, upright or turned, that holds a rectangle; beyond A0 the rectangle itself."""
    for name, short, long in SHEETS:
        ways = [Sheet(name, short, long), Sheet(f"{name} landscape", long, short)]
        holding = [way for way in ways if width <= way.width_cm and height <= way.height_cm]
        if holding:
            return min(holding, key=lambda way: abs(way.width_cm / way.height_cm - width / height))
    return Sheet("made to measure", width, height)


def facing_pages(sizes: Sequence[tuple[float, float]], gap: float) -> tuple[list[Placed], list[Placed], Sheet]:
    """Place prints on two facing pages, the first half on the left page, each page's block centred on it.

    Margins are at least half the gap, so that prints across the gutter are at least a gap apart, and at least
    ``LEAST_MARGIN_CM``.

    Parameters
    ----------
    sizes : width and height of each print in centimetres. gap : centimetres between prints, >= 0.

    Returns
    -------
    Positions of the prints, of the two pages, and the sheet; the origin is the left page's top left corner.
    """
    half = ceil(len(sizes) / 2)
    blocks = [_block(sizes[:half], gap), _block(sizes[half:], gap)]
    spans = [span(block) for block in blocks]
    margin = max(gap / 2, LEAST_MARGIN_CM)
    sheet = smallest_sheet(max(w for w, _ in spans) + 2 * margin, max(h for _, h in spans) + 2 * margin)
    pages = [
        Placed(x_cm=i * sheet.width_cm, y_cm=0, width_cm=sheet.width_cm, height_cm=sheet.height_cm) for i in (0, 1)
    ]
    placed = [
        _moved(p, page.x_cm + (sheet.width_cm - size[0]) / 2, (sheet.height_cm - size[1]) / 2)
        for block, size, page in zip(blocks, spans, pages, strict=True)
        for p in block
    ]
    return placed, pages, sheet


def _block(sizes: Sequence[tuple[float, float]], gap: float) -> list[Placed]:
    """Return the rows of one page that keep its block's longer side shortest; on a tie the fewer columns."""
    ways = [hang(sizes, columns, gap) for columns in range(1, len(sizes) + 1)]
    return min(ways, key=lambda way: max(span(way)), default=[])


def _moved(placed: Placed, x: float, y: float) -> Placed:
    return placed.model_copy(update={"x_cm": placed.x_cm + x, "y_cm": placed.y_cm + y})
