"""The scale of the wall's page: the largest of the round ones at which the wall fits, by hand."""

import pytest

from setsolver.output.hanging.drawing import Drawing
from setsolver.output.hanging.page import Page
from setsolver.output.hanging.wall_page import scale_of

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
