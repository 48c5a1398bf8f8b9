"""The hanging plan as one PDF: the wall to scale, the table of hooks, and templates at full size."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO

from reportlab.pdfgen.canvas import Canvas

from setsolver.domain.plan import Plan
from setsolver.errors import BadInput
from setsolver.output.hanging.page import Page, glyphs
from setsolver.output.hanging.papers import POINTS_PER_MM, Paper, paper_named
from setsolver.output.hanging.table_page import draw_table_pages
from setsolver.output.hanging.template_pages import draw_template_pages
from setsolver.output.hanging.wall_page import draw_wall_page
from setsolver.output.inert import inert

__all__ = ["hanging_pdf"]


def hanging_pdf(plan: Plan, captions: Sequence[str], title: str, *, paper: str = "A4") -> bytes:
    """Return the hanging plan of a set.

    Parameters
    ----------
    plan : where prints hang; its ``wall`` holds what was measured. captions : what each is called, by its number.
    title : of the pages. paper : "A4" or "Letter".

    Returns
    -------
    A PDF: the wall to scale on a sheet on its side, the table of hooks with the order of hanging, and a template at
    full size for each size of frame. The same arguments give the same bytes.

    Raises
    ------
    BadInput
        Where the plan is one of facing pages, or the paper is not known.
    """
    if plan.top_cm is None or not plan.places:
        raise BadInput(f'layout "{plan.kind}" hangs on no wall; a hanging plan needs one that does, such as "row"')
    sheet = paper_named(paper)
    buffer = BytesIO()
    glyphs()
    canvas = Canvas(buffer, invariant=True)
    canvas.setTitle(inert(f"{title}: hanging plan"))

    def upright() -> Page:
        return _page(canvas, sheet)

    first = _page(canvas, Paper(sheet.name, sheet.height, sheet.width))
    draw_wall_page(first, plan, title)
    first.done()
    draw_table_pages(upright, plan, captions, title)
    draw_template_pages(upright, plan, sheet)
    canvas.save()
    return buffer.getvalue()


def _page(canvas: Canvas, paper: Paper) -> Page:
    canvas.setPageSize((paper.width * POINTS_PER_MM, paper.height * POINTS_PER_MM))
    return Page(canvas, paper.width, paper.height)
