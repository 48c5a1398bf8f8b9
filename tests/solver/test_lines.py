"""A line below an effort is nowhere above it, and is the effort itself beside all tones."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.solver.shims import line_below, line_below_members

numbers = st.floats(-20, 20, allow_nan=False)


def effort(tones, looks, slack):
    return np.maximum(0.0, np.abs(np.asarray(tones)[:, None] - looks) - slack).sum(axis=0)


@settings(deadline=None)  # the first call compiles
@given(numbers, st.floats(0, 5), numbers, st.floats(1e-3, 30))
def test_no_line_lies_above_the_effort_of_one(tone, slack, low, extent):
    high = low + extent
    at_low, at_high = line_below(tone, slack, low, high)
    looks = np.linspace(low, high, 101)
    assert np.all(np.interp(looks, [low, high], [at_low, at_high]) <= effort([tone], looks, slack) + 1e-9)


@settings(deadline=None)  # the first call compiles
@given(st.lists(numbers, max_size=6), st.floats(0, 5), numbers, st.floats(1e-3, 30))
def test_no_line_lies_above_the_effort_of_many_and_it_touches(tones, slack, low, extent):
    high = low + extent
    tone = np.array(tones, dtype=np.float64).reshape(-1, 1)
    at_low, at_high = line_below_members(tone, np.arange(len(tones)), len(tones), 0, low, high, slack)
    kinks = np.array([k for t in tones for k in (t - slack, t + slack) if low < k < high])
    looks = np.sort(np.concatenate([np.linspace(low, high, 51), kinks]))
    spare = effort(tones, looks, slack) - np.interp(looks, [low, high], [at_low, at_high])
    assert spare.min() >= -1e-7
    assert spare.min() <= 1e-7


def test_the_line_is_the_effort_where_the_tone_lies_beside_the_stretch():
    assert line_below(10.0, 1.0, 2.0, 5.0) == pytest.approx((7.0, 4.0))
    assert line_below(-3.0, 1.0, 2.0, 5.0) == pytest.approx((4.0, 7.0))
