"""The hanging plan, lengths read back from the PDF by pypdf, and by poppler from what it draws."""

import io
import shutil
import subprocess

import numpy as np
import pytest
from PIL import Image

from setsolver.errors import BadInput
from setsolver.layout import hung
from setsolver.output.hanging import hanging_pdf
from setsolver.output.hanging.papers import PAPERS
from setsolver.output.hanging.tiles import field_of, templates, tiles
from setsolver.output.hanging.words import CAUTIONS
from tests.output.builders import brief, outcome
from tests.output.hanging.readback import lines, pages, rectangles, size

WALL = {
    "width": 400,
    "height": 250,
    "mount": 5,
    "frame": 2,
    "drop": 6,
    "clear": [{"what": "door", "left": 0, "width": 80, "height": 205}],
}


CALLED = ("The yard", "At the wheel", "Two hands", "A fourth", "A fifth")


needs_poppler = pytest.mark.skipif(
    shutil.which("pdftoppm") is None, reason="no poppler here (Debian: apt-get install poppler-utils)"
)


def rendered(pdf, page):
    """A page as poppler draws it, ten pixels to a millimetre; uint8[h, w]."""
    command = ["pdftoppm", "-r", "254", "-gray", "-f", str(page), "-l", str(page), "-"]
    done = subprocess.run(command, input=pdf, capture_output=True, check=True)
    return np.asarray(Image.open(io.BytesIO(done.stdout)).convert("L"))


def made(wall=WALL, paper="A4", size_=3, **layout):
    best = outcome(brief(size_, aspect="3:2", print_cm=30, wall=wall, layout=layout)).best
    return best.layout, pages(hanging_pdf(best.layout, CALLED[:size_], "The hall", paper=paper))


@pytest.fixture(scope="module")
def hall():
    return made()


def test_the_wall_and_every_frame_are_drawn_to_scale(hall):
    plan, (first, *_) = hall
    drawn = rectangles(first)
    scale = 4000 / drawn[0][2]
    assert scale == pytest.approx(20, abs=1e-3)
    assert f"Scale 1:{scale:.0f}" in first.extract_text()
    x0, y0 = drawn[0][:2]
    for frame in hung(plan):
        wanted = (
            x0 + frame.left_cm * 10 / scale,
            y0 + frame.bottom_cm * 10 / scale,
            frame.width_cm * 10 / scale,
            frame.height_cm * 10 / scale,
        )
        assert any(box == pytest.approx(wanted, abs=0.01) for box in drawn)
    assert drawn[1][2:] == pytest.approx((800 / scale, 2050 / scale), abs=0.01)  # the door


def test_crosses_lie_at_the_hooks(hall):
    plan, (first, *_) = hall
    x0, y0, width, _ = rectangles(first)[0]
    scale = 4000 / width
    level = [line for line in lines(first) if line[0][1] == pytest.approx(line[1][1])]
    for frame in hung(plan):
        at = x0 + frame.hooks[0].left_cm * 10 / scale, y0 + frame.hooks[0].floor_cm * 10 / scale
        middles = [((a[0] + b[0]) / 2, a[1]) for a, b in level]
        assert any(middle == pytest.approx(at, abs=0.01) for middle in middles)


def test_the_table_tells_every_hook_in_both_units(hall):
    # By hand: three frames of 44 x 34 and gaps of 6 are 144 wide, 128 from the corner; middles at 150, 200, 250;
    # top edge 145 + 17 = 162, hook at 162 - 6 = 156 cm = 61.417 in, to a sixteenth 61 7/16.
    words = hall[1][1].extract_text()
    for told in ("150.0 cm", "200.0 cm", "250.0 cm", "156.0 cm", "61 7/16 in", "162.0 cm", "44.0 cm x 34.0 cm"):
        assert told in words
    assert "from the middle outwards: 2, 1, 3" in words
    assert "as measured" in words


def test_templates_are_drawn_at_full_size_with_a_bar_of_ten_centimetres(hall):
    plan, (_, _, *sheets) = hall
    (template,) = templates(hung(plan), plan.border_cm, PAPERS["A4"])
    assert len(sheets) == len(tiles(template, PAPERS["A4"])) == 6
    for sheet in sheets:
        across = [b[0] - a[0] for a, b in lines(sheet) if a[1] == pytest.approx(b[1])]
        assert any(length == pytest.approx(100, abs=0.01) for length in across)
        assert any(box[2:] == pytest.approx((440, 340), abs=0.01) for box in rectangles(sheet))


@needs_poppler
def test_poppler_draws_the_bar_and_the_frame_s_edge_as_long_as_they_are():
    best = outcome(brief(3, aspect="3:2", print_cm=30, wall=WALL)).best
    page = rendered(hanging_pdf(best.layout, CALLED, "The hall", paper="A4"), 3)
    assert page.shape == pytest.approx((2970, 2100), abs=1)  # A4, ISO 216
    dark = page < 128
    longest = [_longest(row) for row in dark]
    assert min(abs(length - 1000) for length in longest) <= 4  # the bar, its ticks' width more at both ends
    field = field_of(PAPERS["A4"])
    edge = max(longest)  # the frame's upper edge runs on to the next sheet, so to the end of this one's field
    assert edge == pytest.approx(10 * field.width, abs=60)


def _longest(row):
    """The length of the longest run of True."""
    ends = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(np.int8), [0]])))
    return int((ends[1::2] - ends[::2]).max()) if len(ends) else 0


def test_a_hook_lies_on_its_sheet_where_the_frame_has_it(hall):
    plan, (_, _, *sheets) = hall
    (template,) = templates(hung(plan), plan.border_cm, PAPERS["A4"])
    field = field_of(PAPERS["A4"])
    (across, down) = template.hooks[0]
    tile = next(t for t in tiles(template, PAPERS["A4"]) if t.column == 1 and t.row == 0)
    wanted = field.x + across - tile.x, field.y + field.height - (down - tile.y)
    level = [((a[0] + b[0]) / 2, a[1]) for a, b in lines(sheets[1]) if a[1] == pytest.approx(b[1])]
    assert any(middle == pytest.approx(wanted, abs=0.01) for middle in level)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_pages_have_the_size_of_their_paper(paper):
    _, (first, *others) = made(paper=paper)
    wanted = PAPERS[paper].width, PAPERS[paper].height
    assert size(first) == pytest.approx(wanted[::-1], abs=0.01)
    assert all(size(page) == pytest.approx(wanted, abs=0.01) for page in others)


def test_every_page_warns(hall):
    for page in hall[1]:
        words = " ".join(page.extract_text().split())
        for caution in CAUTIONS:
            assert " ".join(caution.split()) in words


def test_what_nobody_measured_is_said():
    _, (first, table, *_) = made(wall=None)
    assert "no wall was measured" in " ".join(first.extract_text().split())
    assert "assumed, since nobody measured it" in " ".join(table.extract_text().split())


def test_the_same_plan_gives_the_same_bytes():
    best = outcome(brief(wall=WALL)).best
    assert hanging_pdf(best.layout, CALLED, "x") == hanging_pdf(best.layout, CALLED, "x")


def test_facing_pages_are_refused():
    best = outcome(brief(2, layout={"kind": "pair"})).best
    with pytest.raises(BadInput, match='layout "pair" hangs on no wall'):
        hanging_pdf(best.layout, CALLED, "x")


def test_a_plan_that_nothing_hangs_on_is_refused():
    empty = outcome(brief(wall=WALL)).best.layout.model_copy(update={"places": ()})
    with pytest.raises(BadInput, match="a hanging plan needs one that does"):
        hanging_pdf(empty, (), "x")


def test_a_caption_that_the_typeface_lacks_is_escaped():
    best = outcome(brief(3, wall=WALL)).best
    called = ("\u9676\u5668", "b", "c")
    assert "\\u9676" in pages(hanging_pdf(best.layout, called, "x"))[1].extract_text()


def test_prints_are_called_by_number_and_caption_as_on_the_proof_sheet(hall):
    lines_of_text = hall[1][1].extract_text().splitlines()
    assert [line for line in lines_of_text if line in CALLED] == list(CALLED[:3])
    assert not any(".jpg" in line for line in lines_of_text)


def test_a_long_caption_takes_two_lines_and_is_cut_short_beyond():
    best = outcome(brief(3, wall=WALL)).best
    called = ("Wide view, 30 November 2026, 10:12", "word " * 40, "x" * 300)
    words = pages(hanging_pdf(best.layout, called, "x"))[1].extract_text()
    assert "Wide view, 30 November" in words
    assert "2026, 10:12" in words.splitlines()
    assert sum(line.endswith("...") for line in words.splitlines()) == 2


def test_a_word_that_is_broken_over_two_lines_gets_no_space():
    best = outcome(brief(3, wall=WALL)).best
    words = pages(hanging_pdf(best.layout, ("Kiln Brennofenwaechterhaeuschen", "b", "c"), "x"))[1].extract_text()
    assert {"Kiln", "Brennofenwaechterhaeuschen"} <= set(words.splitlines())


def test_both_hooks_of_the_first_frame_are_told():
    # By hand: the middle frame of 44 lies from 178 to 222; a quarter of 44 in from either edge: 189 and 211.
    words = " ".join(made(wall={**WALL, "hooks": 2})[1][1].extract_text().split())
    assert "puts its hooks at 156.0 cm; 189.0 cm and 211.0 cm from the left corner of the wall" in words
