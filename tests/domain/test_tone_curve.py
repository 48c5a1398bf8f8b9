"""The tone curve: monotone, inside its range, through the moved tone points."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.outcome import Correction, ToneRecord
from setsolver.domain.tone_curve import LEAST_SLOPE, lightness_table, reached

points = st.lists(st.floats(0, 100), min_size=3, max_size=3).map(sorted)
moves = st.tuples(st.floats(-15, 15), st.floats(-25, 25), st.floats(-15, 15))


def pair(at, by):
    tone = ToneRecord(black=at[0], mid=at[1], white=at[2])
    return tone, Correction(black=by[0], mid=by[1], white=by[2])


@given(points, moves)
def test_any_correction_gives_a_monotone_curve_from_0_to_100(at, by):
    before, after = lightness_table(*pair(at, by))
    assert before[0] == 0
    assert before[-1] == 100
    assert np.all(np.diff(after) >= -1e-9)
    assert after.min() >= 0
    assert after.max() <= 100


@given(points, moves)
def test_what_is_reached_is_in_order_and_keeps_tones_apart(at, by):
    tone, correction = pair(at, by)
    got = reached(tone, correction)
    assert got.mid - got.black >= LEAST_SLOPE * (tone.mid - tone.black) - 1e-9
    assert got.white - got.mid >= LEAST_SLOPE * (tone.white - tone.mid) - 1e-9
    assert got.black >= 0
    assert got.white <= 100


@pytest.mark.parametrize("by", [(4, 8, 6), (-4, -8, -6), (4, -8, 6), (0, 8, 0), (0, 0, 0)])
def test_the_curve_passes_through_the_moved_points(by):
    tone, correction = pair((8, 48, 92), by)
    before, after = lightness_table(tone, correction)
    wanted = np.add((8, 48, 92), by)
    assert np.interp((8, 48, 92), before, after) == pytest.approx(wanted, abs=0.02)
    assert reached(tone, correction) == ToneRecord(black=wanted[0], mid=wanted[1], white=wanted[2])


def test_no_correction_changes_nothing():
    before, after = lightness_table(*pair((3, 40, 95), (0, 0, 0)))
    assert after == pytest.approx(before, abs=1e-6)


def test_shadows_below_black_are_lifted_in_parallel():
    before, after = lightness_table(*pair((10, 50, 90), (5, 0, 0)))
    assert np.interp([0, 5], before, after) == pytest.approx([5, 10], abs=0.3)


def test_a_night_frame_cannot_have_its_black_lifted_past_its_mid():
    tone, correction = pair((1, 3, 60), (6, 0, 0))
    got = reached(tone, correction)
    assert got.black == 7
    assert got.mid == pytest.approx(7 + LEAST_SLOPE * 2)


def test_cast_is_added():
    tone = ToneRecord(black=5, mid=50, white=95, cast_a=1, cast_b=-2)
    got = reached(tone, Correction(black=0, mid=0, white=0, cast_a=-1, cast_b=1.5))
    assert (got.cast_a, got.cast_b) == (0, -0.5)


def test_the_curve_beyond_its_points_moves_with_them_and_stays_within_the_scale():
    # black 10 goes to 6, so 0 could go to -4: held at 0; white 90 goes to 84, so 100 goes to 94
    before, after = lightness_table(*pair((10, 50, 90), (-4, 0, -6)))
    assert np.interp([0, 10, 50, 90, 100], before, after).tolist() == pytest.approx([0, 6, 50, 84, 94], abs=1e-4)
    before, after = lightness_table(*pair((10, 50, 90), (4, 0, 6)))
    assert np.interp([0, 10, 90, 100], before, after).tolist() == pytest.approx([4, 14, 96, 100], abs=1e-4)


def test_points_that_would_cross_are_held_apart_the_outer_ones_first():
    least = LEAST_SLOPE
    got = reached(*pair((20, 50, 80), (90, 0, 0)))
    assert got.black == pytest.approx(100 - 60 * least)
    assert got.white == pytest.approx(100)
    assert got.mid == pytest.approx(100 - 30 * least)
    got = reached(*pair((20, 50, 80), (-30, -60, -90)))
    assert (got.black, got.mid, got.white) == pytest.approx((0, 30 * least, 60 * least))
