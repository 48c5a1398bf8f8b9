"""Palette: chroma-weighted means, on pictures whose colours are known."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.features.palette import palette_of


def picture(*colours):
    """Return a picture in L*a*b* of bands of these (a*, b*), four rows each."""
    return np.concatenate([np.full((4, 8, 3), (50, *colour), np.float32) for colour in colours])


def test_one_colour_is_its_own_palette():
    assert palette_of(picture((30, -40))) == pytest.approx((30, -40, 50))


def test_greys_do_not_hide_the_colour():
    assert palette_of(picture((30, -40), (0, 0), (0, 0), (0, 0))) == pytest.approx((30, -40, 12.5))


def test_grey_has_none():
    assert palette_of(picture((0, 0))) == (0, 0, 0)


def test_the_stronger_colour_pulls_more():
    """Chroma 30 and 10: a* = (30 * 30 - 10 * 10) / 40."""
    assert palette_of(picture((30, 0), (-10, 0))) == pytest.approx((20, 0, 20))


@given(st.floats(-80, 80), st.floats(-80, 80))
def test_no_palette_is_more_colourful_than_its_colours(a, b):
    found = palette_of(picture((a, b), (b, a)))
    assert np.hypot(found.a, found.b) <= np.hypot(a, b) + 1e-3


def test_every_second_row_and_column_is_read():
    lab = np.zeros((8, 10, 3), np.float32)
    lab[::2, ::2] = (50, 3, 4)
    lab[1::2], lab[:, 1::2] = (50, 90, 90), (50, 90, 90)
    assert palette_of(lab) == pytest.approx((3, 4, 5))
