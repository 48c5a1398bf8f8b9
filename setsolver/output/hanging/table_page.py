"""The table of hooks, the order of hanging, and how to go about it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from setsolver.domain.plan import Plan
from setsolver.layout import Hung, hanging_order, hung
from setsolver.output.hanging.page import SOFT, Page, glyphs, wrapped
from setsolver.output.hanging.words import both, centimetres, drawable, from_where, inches
from setsolver.output.inert import inert

__all__ = ["ROWS", "draw_table_pages", "how_to"]

ROWS = 12
"""Frames on one page of the table."""
_MARGIN, _ROW = 14.0, 10.5
_LARGE, _LITTLE = 9.0, 7.5
"""Points of the first and the second line of a cell."""
_COLUMNS = (
    ("", 9.0),
    ("Print", 45.0),
    ("Hang", 12.0),
    ("Frame, width by height", 38.0),
    ("Hook from left", 27.0),
    ("Hook above floor", 27.0),
    ("Frame's top edge", 28.0),
)


def draw_table_pages(new_page: Callable[[], Page], plan: Plan, captions: Sequence[str], title: str) -> None:
    """Draw as many pages as the frames need; the steps to follow stand on the last.

    captions : what each print is called, by its number.
    """
    frames = hung(plan)
    for start in range(0, len(frames), ROWS):
        page = new_page()
        page.text(_MARGIN, page.height - 18, f"{title}: hooks", 15, bold=True)
        says = (
            f"From left: from {from_where(plan)}. {_units(plan)} Heights count from the floor. Measure every hook from "
            "the floor and the left, not from its neighbour."
        )
        y = page.lines(_MARGIN, page.height - 25, says, 8.5, page.width - 2 * _MARGIN, ink=SOFT)
        y = _table(page, y - 5, plan, captions, frames[start : start + ROWS])
        if start + ROWS >= len(frames):
            _steps(page, y - 6, plan)
        page.cautions(_MARGIN, 40, page.width - 2 * _MARGIN)
        page.done()


def _units(plan: Plan) -> str:
    in_cm = plan.wall is None or plan.wall.unit == "cm"
    return "Inches are rounded to a sixteenth." if in_cm else "Centimetres are rounded to a millimetre."


def _table(page: Page, y: float, plan: Plan, captions: Sequence[str], frames: Sequence[Hung]) -> float:
    order = hanging_order(plan)
    x = _MARGIN
    for name, width in _COLUMNS:
        page.lines(x, y, name, 7.5, width - 1, ink=SOFT)
        x += width
    y -= 6
    for frame in frames:
        page.line(_MARGIN, y + 3.8, page.width - _MARGIN, y + 3.8, ink="#bbbbbb", pen=0.4)
        _row(page, y, _cells(plan, captions[frame.number - 1], frame, order.index(frame.number) + 1))
        y -= _ROW if len(frame.hooks) == 1 else 1.7 * _ROW
    return y


def _cells(plan: Plan, caption: str, frame: Hung, turn: int) -> list[list[str]]:
    def two(cm: float) -> list[str]:
        lengths = [centimetres(cm), inches(cm)]
        return lengths if plan.wall is None or plan.wall.unit == "cm" else lengths[::-1]

    size = [f"{a} x {b}" for a, b in zip(two(frame.width_cm), two(frame.height_cm), strict=True)]
    lefts = [length for hook in frame.hooks for length in two(hook.left_cm)]
    return [
        [str(frame.number)],
        _called(caption),
        [_ordinal(turn)],
        size,
        lefts,
        two(frame.hooks[0].floor_cm),
        two(frame.top_cm),
    ]


def _ordinal(number: int) -> str:
    endings = {1: "st", 2: "nd", 3: "rd"}
    return f"{number}{'th' if number % 100 in {11, 12, 13} else endings.get(number % 10, 'th')}"


def _row(page: Page, y: float, cells: list[list[str]]) -> None:
    x = _MARGIN
    for k, (cell, (_, width)) in enumerate(zip(cells, _COLUMNS, strict=True)):
        for line, text in enumerate(cell):
            strong = line % 2 == 0 and k in {0, 4, 5}
            size = _LARGE if line % 2 == 0 else _LITTLE
            page.text(x, y - 3.9 * line, text, size, bold=strong, ink="#111111" if line % 2 == 0 else SOFT)
        x += width


def _called(caption: str) -> list[str]:
    """Return a caption as one line, or as two, of which the second is cut short where it is longer."""
    width = _COLUMNS[1][1] - 1
    whole = " ".join(drawable(inert(caption), glyphs()).split())
    first = next(iter(wrapped(caption, _LARGE, width)), "")
    words = whole.removeprefix(first).lstrip()  # a word that was broken is no two words
    if not words:
        return [first]
    second = wrapped(words, _LITTLE, width)
    if len(second) == 1:
        return [first, words]
    kept = second[0]
    while len(wrapped(f"{kept}...", _LITTLE, width)) > 1:
        kept = kept[:-1].rstrip()
    return [first, f"{kept}..."]


def _steps(page: Page, y: float, plan: Plan) -> None:
    page.text(_MARGIN, y, "In this order", 11, bold=True)
    y -= 6
    for number, says in enumerate(how_to(plan), 1):
        page.text(_MARGIN, y, f"{number}.", 8.5)
        y = page.lines(_MARGIN + 6, y, says, 8.5, page.width - 2 * _MARGIN - 6) - 1.2


def how_to(plan: Plan) -> tuple[str, ...]:
    """Return what to do at the wall, step by step, with the arithmetic of the first hook."""
    first = hung(plan)[hanging_order(plan)[0] - 1]
    drop = first.drop_cm
    given = plan.wall is not None and plan.wall.drop_given
    known = "as measured" if given else "assumed, since nobody measured it"
    hook = first.hooks[0]
    turns = ", ".join(str(n) for n in hanging_order(plan))
    way = "from the lowest print up the stair" if plan.kind == "steps" else "from the middle outwards"
    its = "its hook" if len(first.hooks) == 1 else "its hooks"
    lefts = " and ".join(centimetres(one.left_cm) for one in first.hooks)
    hooks = "its two hooks" if len(first.hooks) == 2 else "one finger or hook"
    return (
        "Print the templates at 100 %, without fitting to the page, and check the 10 cm bar with a ruler.",
        (
            f"Hold each frame by its wire on {hooks}, so that the wire is taut, and measure from the frame's top edge "
            f"down to the wire. This plan counts with {both(plan, drop)}, {known}. Where yours differs, put the hook "
            "that far below the top edge in the table."
        ),
        (
            f"Hang {way}: {turns}. Print {first.number} first: top edge {centimetres(first.top_cm)} above the floor "
            f"less {centimetres(drop)} puts {its} at {centimetres(hook.floor_cm)}; {lefts} from "
            f"{from_where(plan)}."
        ),
        (
            "Tape up the template, check it with a spirit level, mark the cross, take the template down, and drill or "
            "drive in what your wall and the weight ask for."
        ),
        f"Frames are {both(plan, plan.gap_cm)} apart: cut a strip of card of that width and check each gap with it.",
    )
