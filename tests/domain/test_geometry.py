"""Crops on levelled frames: always covered, never larger than they can be, as near to the wish as they can be."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.geometry import WHOLE, Box, corners_on_frame, parse_aspect
from tests.crops.plain import largest_crop, share_inside

aspects = st.floats(0.3, 3.0)
angles = st.floats(-12.0, 12.0)
fractions = st.floats(0.0, 1.0)


@given(aspects, angles, aspects, st.tuples(fractions, fractions), st.floats(0.2, 1.0))
def test_a_crop_is_covered_by_the_frame_and_has_its_aspect(aspect, angle, frame_aspect, centre, scale):
    box = largest_crop(aspect, angle, frame_aspect, centre, scale)
    corners = corners_on_frame(box, angle, frame_aspect)
    assert corners.min() >= -1e-9
    assert corners.max() <= 1 + 1e-9
    assert box.x >= -1e-9
    assert box.bottom <= 1 + 1e-9
    assert box.w * frame_aspect / box.h == pytest.approx(aspect)


@given(aspects, angles, aspects)
def test_a_little_larger_is_not_covered_any_more(aspect, angle, frame_aspect):
    box = largest_crop(aspect, angle, frame_aspect)
    grown = Box(0.5 - box.w * 0.5005, 0.5 - box.h * 0.5005, box.w * 1.001, box.h * 1.001)
    corners = corners_on_frame(grown, angle, frame_aspect)
    outside_frame = corners.min() < -1e-9 or corners.max() > 1 + 1e-9
    outside_canvas = grown.x < -1e-9 or grown.y < -1e-9
    assert outside_frame or outside_canvas


def test_without_levelling_the_crop_fills_one_side():
    assert largest_crop(1.0, 0.0, 1.5) == pytest.approx((1 / 6, 0.0, 2 / 3, 1.0))
    assert largest_crop(1.5, 0.0, 1.5) == pytest.approx(WHOLE)


def test_levelling_a_square_costs_the_area_that_trigonometry_says():
    # An upright square inside a unit square turned by a has side 1 / (cos a + sin a).
    turn = np.radians(3.0)
    box = largest_crop(1.0, 3.0, 1.0)
    assert box.h == pytest.approx(1 / (np.cos(turn) + np.sin(turn)))


def test_the_crop_goes_where_it_is_wished():
    assert largest_crop(1.0, 0.0, 2.0, centre=(0.9, 0.5)).right == pytest.approx(1.0)
    assert largest_crop(1.0, 0.0, 2.0, centre=(0.3, 0.5), scale=0.5).centre == pytest.approx((0.3, 0.5))


@pytest.mark.parametrize(("text", "ratio"), [("3:2", 1.5), ("1:1", 1.0), ("4x5", 0.8), ("16:9", 16 / 9)])
def test_aspects_are_read(text, ratio):
    assert parse_aspect(text) == pytest.approx(ratio)


@pytest.mark.parametrize("text", ["3", "a:b", "0:1", "-3:2", "1:2:3", "1000:1", ""])
def test_what_is_no_aspect_is_refused(text):
    with pytest.raises(ValueError, match=r"aspect|float"):
        parse_aspect(text)


@given(st.integers(1, 9), st.integers(1, 9))
def test_even_weight_gives_the_area(rows, columns):
    box = Box(0.1, 0.2, 0.5, 0.7)
    assert share_inside(np.ones((rows, columns)), box) == pytest.approx(box.area)


def test_weight_in_one_cell_counts_by_the_covered_part():
    grid = np.zeros((4, 4))
    grid[1, 2] = 3.0
    assert share_inside(grid, Box(0.5, 0.25, 0.25, 0.25)) == pytest.approx(1.0)
    assert share_inside(grid, Box(0.0, 0.0, 0.625, 1.0)) == pytest.approx(0.5)
    assert share_inside(grid, Box(0.0, 0.5, 1.0, 0.5)) == pytest.approx(0.0)
