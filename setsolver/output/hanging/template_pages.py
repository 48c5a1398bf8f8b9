"""Templates at full size, tiled on paper: frame, print, middle line, crosses at the hooks, and a bar to check."""

from __future__ import annotations

from collections.abc import Callable

from setsolver.domain.plan import Plan
from setsolver.layout import hung
from setsolver.output.hanging.page import ACCENT, INK, SOFT, Page
from setsolver.output.hanging.papers import POINTS_PER_MM, Paper
from setsolver.output.hanging.tiles import FOOT, MARGIN, OVERLAP, Field, Template, Tile, field_of, templates, tiles
from setsolver.output.hanging.words import both, centimetres, inches

__all__ = ["BAR_MM", "draw_template_pages"]

BAR_MM = 100.0
_CROSS = 6.0


def draw_template_pages(new_page: Callable[[], Page], plan: Plan, paper: Paper) -> None:
    """Draw one template for each size of frame."""
    for letter, template in enumerate(templates(hung(plan), plan.border_cm, paper)):
        sheets = tiles(template, paper)
        for tile in sheets:
            page = new_page()
            _head(page, plan, template, tile, sheets, _letters(letter))
            _drawn(page, field_of(paper), template, tile)
            _marks(page, field_of(paper), tile, sheets)
            _foot(page)
            page.done()


def _letters(number: int) -> str:
    return chr(ord("A") + number % 26) * (1 + number // 26)


def _head(page: Page, plan: Plan, template: Template, tile: Tile, sheets: tuple[Tile, ...], letter: str) -> None:
    top = page.height - 8
    numbers = ", ".join(str(n) for n in template.numbers)
    place = f"sheet {sheets.index(tile) + 1} of {len(sheets)}: row {tile.row + 1}, column {tile.column + 1}"
    page.text(
        MARGIN,
        top,
        f"Template {letter}, for print{'s' if len(template.numbers) > 1 else ''} {numbers}: {place}",
        9.5,
        bold=True,
    )
    part = "" if template.whole else " Only its upper part is drawn, to save paper."
    size = f"{both(plan, template.width / 10)} by {both(plan, template.frame_height / 10)}"
    says = (
        f"Frame {size}.{part} Print at 100 %. Lay sheets over one another by the {OVERLAP:g} mm of their dashed edges."
    )
    page.lines(MARGIN, top - 4.6, says, 7.2, page.width - 2 * MARGIN - 16, ink=SOFT)
    _key(page, tile, sheets)


def _key(page: Page, tile: Tile, sheets: tuple[Tile, ...]) -> None:
    """Draw the sheets as a small grid, this one filled."""
    rows, columns = 1 + max(t.row for t in sheets), 1 + max(t.column for t in sheets)
    side = min(14.0 / columns, 9.0 / rows)
    x, y = page.width - MARGIN - side * columns, page.height - 6
    for one in sheets:
        fill = ACCENT if one == tile else None
        page.box(x + one.column * side, y - (one.row + 1) * side, side, side, ink=SOFT, pen=0.4, fill=fill)


def _drawn(page: Page, field: Field, template: Template, tile: Tile) -> None:
    """Draw the part of the template that lies on this sheet, clipped to its field."""
    canvas = page.canvas
    canvas.saveState()
    path = canvas.beginPath()
    path.rect(*(value * POINTS_PER_MM for value in field))
    canvas.clipPath(path, stroke=0, fill=0)
    left, top = field.x - tile.x, field.y + field.height + tile.y
    page.box(left, top - template.frame_height, template.width, template.frame_height, pen=1.2)
    if template.border:
        b = template.border
        inner = (left + b, top - template.frame_height + b, template.width - 2 * b, template.frame_height - 2 * b)
        page.box(*inner, ink=SOFT, pen=0.5, dash=(3, 2))
    middle = left + template.width / 2
    page.line(middle, top, middle, top - template.height, ink=ACCENT, pen=0.4, dash=(8, 3, 1, 3))
    for across, down in template.hooks:
        _hook(page, left + across, top - down, top, down)
    page.text(middle + 2, top - 6, "top edge of the frame, level", 7, ink=SOFT)
    if not template.whole:
        page.line(left, top - template.height, left + template.width, top - template.height, ink=SOFT, dash=(1, 2))
    canvas.restoreState()


def _hook(page: Page, x: float, y: float, top: float, down: float) -> None:
    page.cross(x, y, _CROSS)
    page.text(x + _CROSS + 2, y + 1.5, f"hook, {centimetres(down / 10)} ({inches(down / 10)}) below the top edge", 7)
    page.line(x, y + _CROSS, x, top, ink=SOFT, pen=0.3)


def _marks(page: Page, field: Field, tile: Tile, sheets: tuple[Tile, ...]) -> None:
    """Draw the dashed edges of what neighbouring sheets share, and the sheet's own edge."""
    page.box(*field, ink="#bbbbbb", pen=0.3)
    there = {(t.row, t.column) for t in sheets}
    x, y, width, height = field
    edges = {
        (0, -1): (x + OVERLAP, y, x + OVERLAP, y + height),
        (0, 1): (x + width - OVERLAP, y, x + width - OVERLAP, y + height),
        (-1, 0): (x, y + height - OVERLAP, x + width, y + height - OVERLAP),
        (1, 0): (x, y + OVERLAP, x + width, y + OVERLAP),
    }
    for (down, right), edge in edges.items():
        if (tile.row + down, tile.column + right) in there:
            page.line(*edge, ink="#999999", pen=0.4, dash=(2, 2))


def _foot(page: Page) -> None:
    """Draw the bar and the cautions."""
    y = FOOT - 8
    page.line(MARGIN, y, MARGIN + BAR_MM, y, ink=INK, pen=1.0)
    for tick in range(11):
        long = 2.6 if tick in {0, 5, 10} else 1.4
        page.line(MARGIN + tick * 10, y, MARGIN + tick * 10, y + long, ink=INK, pen=0.6)
    says = "This bar must measure 10.0 cm (3 15/16 in). If it does not, print again at 100 %."
    page.lines(MARGIN + BAR_MM + 4, y + 2, says, 7, page.width - 2 * MARGIN - BAR_MM - 4)
    page.cautions(MARGIN, y - 7, page.width - 2 * MARGIN, 6.2)
