"""A page in millimetres, of which a canvas that takes notes gets points (ISO 32000-1, 8.3.2.3: 72 an inch)."""

import pytest

from setsolver.output.hanging.page import BOLD, INK, MARK, REGULAR, Page, glyphs, wrapped
from setsolver.output.hanging.words import CAUTIONS

POINT = 72 / 25.4


class Noting:
    """Keeps (name, arguments) of all that it is asked for, lengths in millimetres."""

    def __init__(self):
        self.asked = []

    def __getattr__(self, name):
        def note(*args, **how):
            lengths = name.startswith(("draw", "line", "rect", "circle"))
            told = [a / POINT if lengths and isinstance(a, int | float) else a for a in args]
            self.asked.append((name, told, how))
            return Noting()

        return note

    def of(self, *names):
        """What was asked for under these names, in order."""
        return [(told, how) for name, told, how in self.asked if name in names]


@pytest.fixture
def page():
    glyphs()
    return Page(Noting(), 210, 297)


@pytest.mark.parametrize(
    ("align", "drawn"), [("left", "drawString"), ("middle", "drawCentredString"), ("right", "drawRightString")]
)
def test_a_line_of_text_stands_where_it_should_in_its_letters(page, align, drawn):
    page.text(20, 30, "kiln\u9676", 8.5, bold=align == "right", align=align, ink="#123456")
    assert page.canvas.of(drawn) == [([pytest.approx(20), pytest.approx(30), "kiln\\u9676"], {})]
    assert page.canvas.of("setFont") == [([BOLD if align == "right" else REGULAR, 8.5], {})]
    assert page.canvas.of("setFillColor") == [(["#123456"], {})]


def test_lines_follow_each_other_downwards_by_one_and_three_tenths_of_their_size(page):
    """0.46 mm a point is 1.30 points a point."""
    words = "clay and water and fire " * 8
    below = page.lines(20, 100, words, 10, 60)
    told = [args for args, _ in page.canvas.of("drawString")]
    assert " ".join(line for _, _, line in told) == words.strip()
    assert [y for _, y, _ in told] == pytest.approx([100 - 4.6 * n for n in range(len(told))])
    assert below == pytest.approx(100 - 4.6 * len(told))
    assert [x for x, _, _ in told] == pytest.approx([20] * len(told))


@pytest.mark.parametrize(
    ("how", "stroke", "fill"), [({}, 1, 0), ({"fill": "#eeeeee"}, 1, 1), ({"fill": "#eeeeee", "ink": None}, 0, 1)]
)
def test_a_box_is_drawn_round_and_filled_as_asked(page, how, stroke, fill):
    page.box(10, 20, 30, 40, **how)
    ((box, told),) = page.canvas.of("rect")
    assert (box, told) == (pytest.approx([10, 20, 30, 40]), {"stroke": stroke, "fill": fill})
    assert page.canvas.of("setStrokeColor") == ([] if how.get("ink", 1) is None else [([INK], {})])
    assert page.canvas.of("setFillColor") == ([(["#eeeeee"], {})] if fill else [])


def test_a_pen_is_as_asked_and_no_dash_of_before_is_left(page):
    page.line(1, 2, 3, 4, ink="#aaaaaa", pen=1.5, dash=(3, 2))
    page.line(5, 6, 7, 8)
    assert [line for line, _ in page.canvas.of("line")] == [pytest.approx([1, 2, 3, 4]), pytest.approx([5, 6, 7, 8])]
    assert [told for told, _ in page.canvas.of("setDash")] == [[[3, 2]], [[]]]
    assert [told for told, _ in page.canvas.of("setLineWidth")] == [[1.5], [0.6]]
    assert [told for told, _ in page.canvas.of("setStrokeColor")] == [["#aaaaaa"], [INK]]


def test_a_hook_is_a_cross_in_a_ring_about_one_point(page):
    page.cross(50, 60, 6)
    across, up = (line for line, _ in page.canvas.of("line"))
    assert across == pytest.approx([44, 60, 56, 60])
    assert up == pytest.approx([50, 54, 50, 66])
    assert page.canvas.of("circle") == [(pytest.approx([50, 60, 3.3]), {"stroke": 1, "fill": 0})]
    assert {told[0] for told, _ in page.canvas.of("setStrokeColor")} == {MARK}


def test_cautions_stand_in_order_under_their_heading(page):
    end = page.cautions(14, 40, 182, 6.6)
    heading, *told = (args for args, _ in page.canvas.of("drawString"))
    assert heading[1:] == [pytest.approx(40), "Before you go to the wall"]
    assert " ".join(line for _, _, line in told) == " ".join(CAUTIONS)
    assert [y for _, y, _ in told] == pytest.approx([40 - 6.6 * (0.55 + 0.46 * n) for n in range(len(told))])
    assert [args for args, _ in page.canvas.of("setFont")] == [[BOLD, 7.6], *([REGULAR, 6.6] for _ in told)]
    assert end == pytest.approx(told[-1][1] - 6.6 * 0.46)


def test_lines_hold_what_just_fits_and_break_only_words_that_are_too_wide():
    glyphs()
    wide = max(width for width in (n / 10 for n in range(1, 900)) if wrapped("clay kiln", 10, width) != ["clay kiln"])
    assert wrapped("clay kiln", 10, wide) == ["clay", "kiln"]
    assert wrapped("clay kiln jug", 10, wide + 0.1) == ["clay kiln", "jug"]
    assert wrapped("", 10, 50) == []
    parts = wrapped("Brennofenwaechterhaeuschen", 10, 15)
    assert len(parts) > 1
    assert "".join(parts) == "Brennofenwaechterhaeuschen"
    assert [len(wrapped(part, 10, 15)) for part in parts] == [1] * len(parts)
