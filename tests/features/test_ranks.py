"""Percentiles of all of an array, against NumPy's."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from setsolver.features.ranks import median, percentile

AS_TODAY = np.lib.NumpyVersion(np.__version__) >= "2.4.0"
"""NumPy 2.0 rounds a percentile of single precision otherwise, by a step of its last bit."""
NUMBERS = {"allow_nan": False, "allow_infinity": False, "min_value": -1e6, "max_value": 1e6}


VALUES = st.sampled_from([np.float32, np.float64]).flatmap(
    lambda kind: arrays.arrays(
        kind,
        arrays.array_shapes(max_dims=2, max_side=40),
        elements=st.floats(**NUMBERS, width=np.dtype(kind).itemsize * 8),
    )
)


@settings(deadline=None)
@given(VALUES, st.floats(0, 100))
def test_a_percentile_is_numpy_s_to_the_last_bit(values, percent):
    found, wanted = percentile(values, percent), np.percentile(values, percent)
    assert found == wanted if AS_TODAY else abs(found - wanted) <= np.spacing(np.abs(values).max())
    assert found.dtype == wanted.dtype


@pytest.mark.parametrize(("percent", "by_hand"), [(0, 1.0), (25, 1.75), (50, 2.5), (100, 4.0)])
def test_between_two_values_it_lies_on_a_line(percent, by_hand):
    assert percentile(np.array([4.0, 1.0, 3.0, 2.0]), percent) == by_hand


def test_one_value_is_every_percentile():
    assert percentile(np.array([[7.0]]), 99) == 7.0


@settings(deadline=None)
@given(VALUES)
def test_a_median_is_numpy_s_to_the_last_bit(values):
    found, wanted = median(values), np.median(values)
    assert found == wanted
    assert found.dtype == wanted.dtype
