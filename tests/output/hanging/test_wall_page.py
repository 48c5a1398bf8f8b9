"""The wall's page: the largest of the round scales at which it fits, and all of the wall at that scale, by hand."""

import pytest

from setsolver.layout import hung
from setsolver.output.hanging.drawing import Cross, Drawing, Label, Line, Outline, draw_wall
from setsolver.output.hanging.page import Page, glyphs, wrapped
from setsolver.output.hanging.wall_page import draw_wall_page, scale_of
from setsolver.output.hanging.words import CAUTIONS
from tests.output.builders import brief, found
from tests.output.hanging.test_page import Noting

WIDE, HIGH = 297 - 2 * 14, 210 - 34 - 44
"""Millimetres of A4 on its side (ISO 216) that margins, head and cautions leave."""
PAGE = Page(None, 297, 210)


@pytest.mark.parametrize("scale", [5, 10, 25, 50, 60, 70, 120])
@pytest.mark.parametrize("limit", ["width", "height"])
def test_a_wall_that_just_fits_is_drawn_as_large_as_it_fits(scale, limit):
    def asked(share):
        wide, high = (WIDE * share, 1.0) if limit == "width" else (1.0, HIGH * share)
        return scale_of(Drawing(0.0, wide * scale / 10, high * scale / 10, ()), PAGE)

    assert asked(0.999) == scale
    assert asked(1.001) == scale + (5 if scale < 50 else 10)


def test_a_small_wall_is_not_drawn_larger_than_a_fifth():
    assert scale_of(Drawing(0.0, 1.0, 1.0, ()), PAGE) == 5


WALL = {"width": 400, "height": 250, "mount": 5, "frame": 2, "drop": 6}
DOOR = {"what": "door", "left": 10, "width": 80, "height": 205}
STAIR = {"width": 600, "height": 800, "stair": {"rise": 17.5, "run": 28, "foot": 40, "up": "right"}}


def drawn(wall, **layout):
    wish = brief(3, aspect="3:2", print_cm=30, wall=wall, layout=layout)
    plan = found(wish, ("a.jpg", "b.jpg", "c.jpg")).layout
    glyphs()
    page = Page(Noting(), 297, 210)
    draw_wall_page(page, plan, "The hall")
    return plan, page.canvas


@pytest.mark.parametrize(("wall", "layout"), [({**WALL, "clear": [DOOR]}, {}), ({**WALL, **STAIR}, {"kind": "steps"})])
def test_all_of_the_wall_is_on_the_page_in_its_middle_and_to_scale(wall, layout):
    plan, canvas = drawn(wall, **layout)
    drawing = draw_wall(plan)
    scale = scale_of(drawing, PAGE)
    left, mm = (297 - drawing.width * 10 / scale) / 2, 10 / scale

    def on_page(*shape):
        return [pytest.approx(base + value * mm) for base, value in zip((left, 44) * 2, shape, strict=False)]

    boxes = [args for args, _ in canvas.of("rect")]
    outlines = [shape for shape in drawing.shapes if isinstance(shape, Outline)]
    assert boxes == [[*on_page(o.x, o.y), pytest.approx(o.width * mm), pytest.approx(o.height * mm)] for o in outlines]
    lines = [args for args, _ in canvas.of("line")]
    for shape in drawing.shapes:
        if isinstance(shape, Line):
            assert on_page(shape.x1, shape.y1, shape.x2, shape.y2) in lines
        elif isinstance(shape, Cross):
            assert on_page(shape.x, shape.y) in [args[:2] for args, _ in canvas.of("circle")]
    labels = {args[2]: args[:2] for args, _ in canvas.of("drawCentredString")}
    for shape in drawing.shapes:
        if isinstance(shape, Label) and shape.text in {"1", "2", "3", "door"}:
            x, y = labels[shape.text]
            assert x == pytest.approx(left + shape.x * mm)
            assert 44 + shape.y * mm - 2 < y < 44 + shape.y * mm  # the base line, so that letters are about the point


def test_the_head_says_title_scale_and_what_heights_rest_on():
    for wall, layout, told in (
        (WALL, {}, ("above the floor", "mount and frame add 7.0 cm (2 3/4 in) on each side")),
        ({**WALL, **STAIR}, {"kind": "steps"}, ("above the line over the noses of the steps",)),
        (None, {}, ("above the floor", "from the left edge of the set, since no wall was measured")),
    ):
        plan, canvas = drawn(wall, **layout)
        title, *lines = (args for args, _ in canvas.of("drawString"))
        said = " ".join(line for _, _, line in lines)
        assert title == [pytest.approx(14), pytest.approx(194), "The hall"]
        assert f"Scale 1:{scale_of(draw_wall(plan), PAGE)}; lengths on the wall in centimetres. {plan.says}." in said
        assert all(one in said for one in told)
        assert ("no wall was measured" in said) == (wall is None)
        assert ("mount and frame" in said) == bool(plan.border_cm)
        cautions = [words for caution in CAUTIONS for words in wrapped(caution, 6.6, 297 - 2 * 14)]
        assert [line for _, _, line in lines[-len(cautions) :]] == cautions
        ys = [y for _, y, _ in lines]
        assert ys == sorted(ys, reverse=True)
        assert min(ys) > 5
        assert {round(x, 6) for x, _, _ in lines} == {14}
        assert len(hung(plan)) == len(canvas.of("circle"))


def test_words_of_the_page_keep_its_margins_however_much_there_is_to_say():
    plan = found(brief(wall=WALL), ("a.jpg", "b.jpg", "c.jpg")).layout.model_copy(update={"says": "Three prints " * 30})
    glyphs()
    page = Page(Noting(), 297, 210)
    draw_wall_page(page, plan, "The hall")
    size, lines = 0.0, []
    for name, args, _ in page.canvas.asked:
        if name == "setFont":
            size = args[1]
        elif name == "drawString":
            lines.append(args[2])
            assert wrapped(args[2], size, 297 - 14 - args[0] + 0.01) == [args[2]]
    assert " ".join(lines).count("Three prints") == 30
