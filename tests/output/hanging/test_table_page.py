"""The table of hooks as it is drawn: words and where they stand, kept by a page that only takes notes."""

from itertools import pairwise

import pytest

from setsolver.layout import hanging_order, hung
from setsolver.output.hanging.page import BOLD, INK, REGULAR, SOFT, Page, glyphs, wrapped
from setsolver.output.hanging.table_page import ROWS, _ordinal, draw_table_pages, how_to
from setsolver.output.hanging.words import inches
from tests.output.builders import brief, found
from tests.output.hanging.test_page import Noting

WALL = {"width": 900, "height": 300, "mount": 5, "frame": 2, "drop": 6}
STARTS = [14.0 + sum((9, 45, 12, 38, 27, 27, 28)[:k]) for k in range(7)]
"""Millimetres from the left of the paper at which columns begin, as wide as they are; the margin is 14."""


class Noted(Page):
    """A page of A4 (ISO 216) that keeps (x, y, words, size) instead of drawing."""

    def text(self, x, y, words, size=9, **how):
        """Keep a line."""
        self.canvas.append((round(x, 3), round(y, 3), words, size))

    def line(self, *at, **how):
        """Lines are told elsewhere."""

    def done(self):
        """There is nothing to end."""


def drawn(count, called=None, **more):
    wish = brief(count, aspect="3:2", print_cm=30, wall={**WALL, **more})
    plan = found(wish, [f"{n}.jpg" for n in range(count)]).layout
    made = []

    def new():
        made.append(Noted([], 210.0, 297.0))
        return made[-1]

    draw_table_pages(new, plan, called or [f"Print {n}" for n in range(1, count + 1)], "The hall")
    return plan, [page.canvas for page in made]


def rows(page):
    """Lines of each row by column, top to bottom: a row begins with the number of its print."""
    starts = sorted((y for x, y, words, _ in page if x == STARTS[0] and words.isdigit()), reverse=True)
    ends = [*starts[1:], starts[-1] - 14]
    return [
        [[words for x, y, words, _ in page if x == pytest.approx(at) and end < y <= start] for at in STARTS]
        for start, end in zip(starts, ends, strict=True)
    ]


@pytest.mark.parametrize("unit", ["cm", "inch"])
def test_each_row_tells_turn_size_hook_and_top_edge_in_the_owner_s_unit_first(unit):
    """By hand: frames of 44 by 34 cm, 17 5/16 by 13 3/8 in; hooks 6 cm below the top edge, under the middle."""
    plan, (page,) = drawn(3) if unit == "cm" else drawn(3, unit="inch", width=360, height=120, mount=2, frame=1, drop=2)
    order = hanging_order(plan)
    for frame, (number, name, turn, size, left, floor, top) in zip(hung(plan), rows(page), strict=True):
        assert (number, name) == ([str(frame.number)], [f"Print {frame.number}"])
        assert turn == [["1st", "2nd", "3rd"][order.index(frame.number)]]
        for told, cm in ((left, frame.hooks[0].left_cm), (floor, frame.hooks[0].floor_cm), (top, frame.top_cm)):
            assert told[unit != "cm"] == f"{cm:.1f} cm"
            assert told[unit == "cm"].endswith(" in")
        if unit == "cm":
            assert size == ["44.0 cm x 34.0 cm", "17 5/16 in x 13 3/8 in"]
            assert frame.hooks[0].floor_cm == pytest.approx(frame.top_cm - 6)
        else:
            assert size[0].endswith(" in")
    said = " ".join(words for _, _, words, _ in page)
    assert ("Inches are rounded to a sixteenth" in said) == (unit == "cm")
    assert ("Centimetres are rounded to a millimetre" in said) == (unit == "inch")


def test_two_hooks_have_two_places_and_the_next_row_begins_below_them():
    _, (page,) = drawn(3, hooks=2)
    for cells in rows(page):
        assert len(cells[4]) == 4
        assert len(cells[5]) == 2
    one, two = (
        [y for x, y, words, _ in sheet if x == STARTS[0] and words.isdigit()] for sheet in (drawn(3)[1][0], page)
    )
    assert [a - b for a, b in pairwise(one)] == pytest.approx([10.5] * 2)
    assert [a - b for a, b in pairwise(two)] == pytest.approx([17.85] * 2)


@pytest.mark.parametrize(("count", "split"), [(12, [12]), (13, [12, 1])])
def test_twelve_rows_stand_on_a_page_and_the_steps_on_the_last(count, split):
    plan, pages = drawn(count, width=3000)
    assert ROWS == 12
    assert [len(rows(page)) for page in pages] == split
    assert [any(words == "In this order" for _, _, words, _ in page) for page in pages] == [False] * (
        len(split) - 1
    ) + [True]
    said = " ".join(words for _, _, words, _ in pages[-1])
    for number, step in enumerate(how_to(plan), 1):
        assert f"{number}." in said
        assert step in said
    for page in pages:
        assert all(words.startswith("The hall: hooks") for _, y, words, _ in page if y > 297 - 20)
        for x, y, words, size in page:
            assert x >= 14
            assert y > 5
            assert len(wrapped(words, size, 210 - 14 - x + 0.01)) == 1


def test_the_steps_say_the_arithmetic_of_the_first_hook():
    plan, _ = drawn(3)
    steps = " ".join(how_to(plan))
    first = hung(plan)[hanging_order(plan)[0] - 1]
    assert (
        f"top edge {first.top_cm:.1f} cm above the floor less 6.0 cm puts its hook at {first.top_cm - 6:.1f} cm"
        in steps
    )
    assert "one finger or hook" in steps
    assert "Frames are 6.0 cm (2 3/8 in) apart" in steps
    assert "on its two hooks" in " ".join(how_to(drawn(3, hooks=2)[0]))


def test_a_name_that_is_too_long_ends_in_three_dots_at_the_width_of_its_column():
    _, (page,) = drawn(3, ["A bowl", "bowl " * 10, "jug " * 60])
    short, two, cut = (cells[1] for cells in rows(page))
    assert short == ["A bowl"]
    assert " ".join(two) == ("bowl " * 10).strip()
    assert cut[1].endswith("...")
    assert len(wrapped(cut[1], 7.5, 44)) == 1
    assert len(wrapped(cut[1].removesuffix("...") + " jug...", 7.5, 44)) == 2


def test_ordinals_are_those_of_english():
    endings = {1: "st", 2: "nd", 3: "rd", 21: "st", 22: "nd", 23: "rd", 101: "st"}
    endings |= dict.fromkeys((4, 10, 11, 12, 13, 14, 20, 30, 111, 112, 113), "th")
    assert {number: _ordinal(number) for number in endings} == {n: f"{n}{end}" for n, end in endings.items()}


def test_what_is_drilled_by_is_dark_and_strong_and_the_other_unit_small_and_grey():
    plan = found(brief(3, aspect="3:2", print_cm=30, wall=WALL), ("a.jpg", "b.jpg", "c.jpg")).layout
    glyphs()
    canvas, looks, font, ink = Noting(), {}, None, None
    draw_table_pages(lambda: Page(canvas, 210.0, 297.0), plan, ("One", "Two", "Three"), "The hall")
    for name, args, _ in canvas.asked:
        font, ink = args if name == "setFont" else font, args[0] if name == "setFillColor" else ink
        if name == "drawString":
            looks.setdefault(args[2], (*font, ink))
    hook = hung(plan)[0].hooks[0]
    strong, plain, small = (BOLD, 9, INK), (REGULAR, 9, INK), (REGULAR, 7.5, SOFT)
    assert [looks[told] for told in ("1", f"{hook.left_cm:.1f} cm", f"{hook.floor_cm:.1f} cm")] == [strong] * 3
    assert [looks[told] for told in ("One", "44.0 cm x 34.0 cm", f"{hung(plan)[0].top_cm:.1f} cm")] == [plain] * 3
    assert [looks[told] for told in ("17 5/16 in x 13 3/8 in", inches(hook.left_cm), inches(hook.floor_cm))] == [
        small
    ] * 3
