"""Means of squares, against sums in whole numbers."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.render.average import averaged


def plainly(codes, by, x, y, columns, rows):
    part = codes[y : y + rows * by, x : x + columns * by].astype(np.int64)
    return part.reshape(rows, by, columns, by, 3).sum(axis=(1, 3))


@pytest.mark.parametrize("kind", [np.uint8, np.uint16])
@settings(deadline=None)  # the first one compiles
@given(
    by=st.integers(1, 9),
    corner=st.tuples(st.integers(0, 5), st.integers(0, 5)),
    size=st.tuples(st.integers(1, 140), st.integers(1, 6)),
    seed=st.integers(0, 9),
)
def test_means_are_the_nearest_codes(kind, by, corner, size, seed):
    shape = corner[1] + size[1] * by + 2, corner[0] + size[0] * by + 3, 3
    codes = np.random.default_rng(seed).integers(0, np.iinfo(kind).max + 1, shape, dtype=kind)
    found = averaged(codes, by, corner, size)
    assert found.dtype == kind
    assert found.shape == (size[1], size[0], 3)
    sums = plainly(codes, by, *corner, *size)
    assert np.abs(found - sums / by**2).max() <= 0.5
    if by > 2:  # halves up; OpenCV makes halves
        assert (found == (sums + by**2 // 2) // by**2).all()


@pytest.mark.parametrize("kind", [np.uint8, np.uint16])
@pytest.mark.parametrize("by", [3, 4, 7, 100])
def test_a_mean_just_below_a_half_goes_down_and_a_half_goes_up(kind, by):
    """At the largest codes, where a share that is rounded could tell wrongly."""
    most = np.iinfo(kind).max
    for below in range(by * by // 2 - 2, by * by // 2 + 3):
        codes = np.full((by * by, 3), most, kind)
        codes[:below] = most - 1
        found = averaged(codes.reshape(by, by, 3), by, (0, 0), (1, 1))
        assert (found == most - (2 * below > by * by)).all()


def test_white_stays_white_where_squares_are_large():
    white = np.full((90, 90, 3), 65535, np.uint16)
    assert (averaged(white, 45, (0, 0), (2, 2)) == 65535).all()


def test_nothing_is_left_of_less_than_a_square():
    assert averaged(np.zeros((4, 9, 3), np.uint8), 5, (0, 0), (1, 0)).size == 0
