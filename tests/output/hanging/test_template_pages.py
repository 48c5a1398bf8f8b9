"""Templates at full size, read back from the PDF in millimetres by pypdf: what a ruler and a neighbouring sheet ask."""

import pytest

from setsolver.layout import hung
from setsolver.output.hanging import hanging_pdf
from setsolver.output.hanging.page import Page, glyphs, wrapped
from setsolver.output.hanging.papers import PAPERS
from setsolver.output.hanging.template_pages import draw_template_pages
from setsolver.output.hanging.tiles import field_of, templates, tiles
from tests.output.builders import brief, outcome
from tests.output.hanging.readback import filled, lines, pages, rectangles
from tests.output.hanging.test_page import Noting

WALL = {"width": 400, "height": 250, "mount": 5, "frame": 2, "drop": 6}
FIELD = field_of(PAPERS["A4"])


def made(wall, print_cm=30):
    plan = outcome(brief(3, aspect="3:2", print_cm=print_cm, wall=wall)).best.layout
    (template, *_) = templates(hung(plan), plan.border_cm, PAPERS["A4"])
    parts = tiles(template, PAPERS["A4"])
    return template, parts, pages(hanging_pdf(plan, ("a", "b", "c"), "x", paper="A4"))[2 : 2 + len(parts)]


@pytest.fixture(scope="module")
def hall():
    return made(WALL)


def upright(sheet):
    return [(a, b) for a, b in lines(sheet) if a[0] == pytest.approx(b[0])]


def test_the_bar_has_a_tick_at_every_centimetre_and_longer_ones_at_its_ends_and_middle(hall):
    sheet = hall[2][0]
    bar = next(a for a, b in lines(sheet) if b[0] - a[0] == pytest.approx(100, abs=1e-3))
    ticks = {round(a[0] - bar[0], 3): b[1] - a[1] for a, b in upright(sheet) if a[1] == pytest.approx(bar[1])}
    assert sorted(ticks) == pytest.approx([10 * k for k in range(11)], abs=1e-3)
    long = {at for at, length in ticks.items() if length > 2}
    assert sorted(long) == pytest.approx([0, 50, 100], abs=1e-3)


def test_a_sheet_shows_where_its_neighbours_end_and_no_more(hall):
    """Laid over one another by those lines, the sheets make one template."""
    _, parts, sheets = hall
    for tile, sheet in zip(parts, sheets, strict=True):
        ends_x = {(t.column, edge) for t in parts for edge in (t.x, t.x + FIELD.width) if t.row == tile.row}
        ends_y = {(t.row, edge) for t in parts for edge in (t.y, t.y + FIELD.height) if t.column == tile.column}
        across = {edge for column, edge in ends_x if 0 < edge - tile.x < FIELD.width and column != tile.column}
        down = {edge for row, edge in ends_y if 0 < edge - tile.y < FIELD.height and row != tile.row}
        x = [a[0] - FIELD.x + tile.x for a, b in upright(sheet) if abs(b[1] - a[1]) == pytest.approx(FIELD.height)]
        level = [(a, b) for a, b in lines(sheet) if a[1] == pytest.approx(b[1])]
        y = [
            tile.y + FIELD.y + FIELD.height - a[1]
            for a, b in level
            if abs(b[0] - a[0]) == pytest.approx(FIELD.width) and FIELD.y < a[1] < FIELD.y + FIELD.height
        ]
        assert sorted(x) == pytest.approx(sorted(across), abs=0.01)
        assert sorted(y) == pytest.approx(sorted(down), abs=0.01)


def test_frame_and_print_lie_on_every_sheet_where_the_template_has_them(hall):
    _, parts, sheets = hall
    for tile, sheet in zip(parts, sheets, strict=True):
        left, top = FIELD.x - tile.x, FIELD.y + FIELD.height + tile.y
        boxes = rectangles(sheet)
        assert any(box == pytest.approx((left, top - 340, 440, 340), abs=0.01) for box in boxes)
        assert any(box == pytest.approx((left + 70, top - 340 + 70, 300, 200), abs=0.01) for box in boxes)
        middle = [a[0] - left for a, b in upright(sheet) if abs(b[1] - a[1]) == pytest.approx(340)]
        assert middle == pytest.approx([220], abs=0.01)


def test_a_small_grid_shows_all_sheets_and_fills_the_one_that_one_holds(hall):
    """By hand: 3 columns of 2 rows in at most 14 by 9 mm are squares of 4.5 mm; the first is the upper left."""
    _, parts, sheets = hall
    side = 4.5
    for tile, sheet in zip(parts, sheets, strict=True):
        small = [box for box in rectangles(sheet) if box[2:] == pytest.approx((side, side), abs=0.01)]
        assert len(small) == len(parts)
        (here,) = filled(sheet)
        assert small.index(here) == parts.index(tile)
        left, top = min(box[0] for box in small), max(box[1] for box in small)
        order = [(round((top - box[1]) / side), round((box[0] - left) / side)) for box in small]
        assert order == [(t.row, t.column) for t in parts]
        assert f"row {tile.row + 1}, column {tile.column + 1}" in " ".join(sheet.extract_text().split())


def test_the_line_where_a_template_is_cut_short_is_drawn_there_and_only_there(hall):
    template, parts, sheets = made({**WALL, "width": 600, "height": 300}, print_cm=100)
    assert not template.whole
    for whole, (tile, sheet) in [(True, z) for z in zip(hall[1], hall[2], strict=True)] + [
        (False, z) for z in zip(parts, sheets, strict=True)
    ]:
        top = FIELD.y + FIELD.height + tile.y
        width = 440 if whole else template.width
        cut = [top - a[1] for a, b in lines(sheet) if b[0] - a[0] == pytest.approx(width)]
        assert cut == pytest.approx([] if whole else [template.height], abs=0.01)
        assert ("upper part" in sheet.extract_text()) is not whole


@pytest.mark.parametrize("paper", PAPERS.values(), ids=list(PAPERS))
def test_words_keep_the_margins_that_printers_need(paper):
    """Twelve millimetres at the sides; head, bar and cautions lie outside the template's field."""
    plan = outcome(brief(3, aspect="3:2", print_cm=30, wall=WALL)).best.layout
    glyphs()
    canvas = Noting()
    draw_template_pages(lambda: Page(canvas, paper.width, paper.height), plan, paper)
    field, size = field_of(paper), 0.0
    for name, args, _ in canvas.asked:
        if name == "setFont":
            size = args[1]
        elif name == "drawString" and args[2] and not args[2].startswith(("hook", "top edge")):
            x, y, words = args
            assert x >= 12 - 1e-6
            assert wrapped(words, size, paper.width - 12 - x + 0.01) == [words]
            assert 4 < y < field.y or field.y + field.height <= y < paper.height - 4


@pytest.mark.parametrize(("hooks", "across"), [(1, (220,)), (2, (110, 330))])
def test_a_template_names_its_prints_its_size_and_how_far_down_its_hooks_are(hooks, across):
    """By hand: frames of 44 by 34 cm, hooks 6 cm below the top edge, a quarter of the width in where there are two."""
    plan = outcome(brief(3, aspect="3:2", print_cm=30, wall={**WALL, "hooks": hooks})).best.layout
    glyphs()
    canvas, paper = Noting(), PAPERS["A4"]
    draw_template_pages(lambda: Page(canvas, paper.width, paper.height), plan, paper)
    told = [args for args, _ in canvas.of("drawString")]
    heads = [words for _, _, words in told if words.startswith("Template")]
    assert heads == [
        f"Template A, for prints 1, 2, 3: sheet {1 + 3 * row + column} of 6: row {row + 1}, column {column + 1}"
        for row in range(2)
        for column in range(3)
    ]
    said = " ".join(words for _, _, words in told)
    assert said.count("Frame 44.0 cm (17 5/16 in) by 34.0 cm (13 3/8 in). Print at 100 %.") == 6
    assert said.count("This bar must measure 10.0 cm (3 15/16 in).") == 6
    template, *_ = templates(hung(plan), plan.border_cm, paper)
    first = tiles(template, paper)[0]
    left, top = FIELD.x - first.x, FIELD.y + FIELD.height + first.y
    named = [(x, y) for x, y, words in told if words == "hook, 6.0 cm (2 3/8 in) below the top edge"]
    assert named[: len(across)] == [pytest.approx((left + at + 8, top - 60 + 1.5)) for at in across]
    (middle, *_) = [(x, y) for x, y, words in told if words == "top edge of the frame, level"]
    assert middle == pytest.approx((left + 222, top - 6))
    lines_drawn = [line for line, _ in canvas.of("line")]
    for at in across:
        assert pytest.approx([left + at, top - 60 + 6, left + at, top]) in lines_drawn
