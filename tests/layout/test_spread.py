"""Facing pages: sheets of ISO 216, prints inside them and clear of the gutter."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.layout.spread import LEAST_MARGIN_CM, SHEETS, facing_pages, smallest_sheet

sides = st.floats(1, 60)


def test_sheets_halve_by_the_rule_of_iso_216():
    # ISO 216:2007: each size is the next larger one cut in half across its long side, rounded down to a millimetre;
    # A0 has an area of a square metre.
    for small, large in pairwise(SHEETS):
        assert small.height_cm == large.width_cm
        assert round(small.width_cm * 10) == round(large.height_cm * 10) // 2
    a0 = SHEETS[-1]
    assert a0.width_cm * a0.height_cm == pytest.approx(10_000, rel=1e-3)


@given(sides, sides)
def test_the_sheet_holds_the_block_and_no_smaller_one_does(width, height):
    sheet = smallest_sheet(width, height)
    assert sheet.width_cm >= width
    assert sheet.height_cm >= height
    smaller = [s for s in SHEETS if s.width_cm * s.height_cm < sheet.width_cm * sheet.height_cm * 0.99]
    for s in smaller:
        assert not (min(width, height) <= s.width_cm and max(width, height) <= s.height_cm)


def test_the_sheet_turns_with_the_block():
    assert smallest_sheet(28, 18).name == "A4 landscape"
    assert smallest_sheet(18, 28).name == "A4"
    assert smallest_sheet(130, 130) == ("made to measure", 130, 130)


@given(st.lists(st.tuples(sides, sides), min_size=1, max_size=9), st.floats(0, 20))
def test_prints_lie_inside_their_page_with_the_margin(sizes, gap):
    placed, pages, sheet = facing_pages(sizes, gap)
    margin = max(gap / 2, LEAST_MARGIN_CM) - 1e-9
    half = (len(sizes) + 1) // 2
    for k, p in enumerate(placed):
        page = pages[0] if k < half else pages[1]
        assert p.x_cm >= page.x_cm + margin
        assert p.x_cm + p.width_cm <= page.x_cm + page.width_cm - margin
        assert p.y_cm >= margin
        assert p.y_cm + p.height_cm <= sheet.height_cm - margin


def test_a_pair_faces_each_other_in_the_middle_of_its_pages():
    placed, pages, sheet = facing_pages([(24, 16), (24, 16)], 4)
    assert sheet == ("A4 landscape", 29.7, 21.0)
    assert [p.x_cm for p in placed] == pytest.approx([2.85, 32.55])
    assert [p.y_cm for p in placed] == pytest.approx([2.5, 2.5])
    assert [p.x_cm for p in pages] == pytest.approx([0, 29.7])
