"""Means of squares, against sums in whole numbers."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.render.average import averaged


def plainly(codes, by, x, y, columns, rows):
    part = codes[y : y + rows * by, x : x + columns * by].astype(np.int64)
    return part.reshape(rows, by, columns, by, 3).sum(axis=(1, 3)) / by**2


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
    assert np.abs(found - plainly(codes, by, *corner, *size)).max() <= 0.5


def test_white_stays_white_where_squares_are_large():
    white = np.full((90, 90, 3), 65535, np.uint16)
    assert (averaged(white, 45, (0, 0), (2, 2)) == 65535).all()


def test_nothing_is_left_of_less_than_a_square():
    assert averaged(np.zeros((4, 9, 3), np.uint8), 5, (0, 0), (1, 0)).size == 0
