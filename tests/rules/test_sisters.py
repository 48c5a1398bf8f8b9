"""Sisters: what other frames of a moment show up, and what they do not."""

from dataclasses import replace

import pytest

from setsolver.rules.sisters import exposure_lag, sharpness_lead
from tests.rules.builders import make_frame


def exposed(number, mid, *, clipped=0.0, moment=0):
    frame = make_frame(number, moment=moment)
    tone = frame.measures.tone._replace(mid=mid, clipped_high=clipped)
    return replace(frame, measures=replace(frame.measures, tone=tone))


def test_the_sharpest_of_a_moment_leads():
    frames = (make_frame(0, moment=5, sharpness=0.8), make_frame(1, moment=5, sharpness=0.6), make_frame(2))
    assert sharpness_lead(frames) == pytest.approx([0, 0.2, 0])


def test_frames_without_a_moment_are_nobodys_sisters():
    frames = exposed(0, 50.0, moment=-1), exposed(1, 20.0, moment=-1)
    assert exposure_lag(frames) == pytest.approx([0, 0])
    frames = make_frame(0, moment=-1, sharpness=0.8), make_frame(1, moment=-1, sharpness=0.6)
    assert sharpness_lead(frames) == pytest.approx([0, 0])


def test_no_frames_have_no_sisters():
    assert exposure_lag(()).shape == sharpness_lead(()).shape == (0,)


def test_a_lag_is_told_in_stops():
    # relative luminance 0.18 and 0.045 are two stops apart: L* 49.50 and 25.26 (ISO/CIE 11664-4:2019, worked out)
    assert exposure_lag((exposed(0, 49.50), exposed(1, 25.26))) == pytest.approx([0, 2.0], abs=0.005)


def test_a_lag_of_many_stops_counts_as_two():
    assert exposure_lag((exposed(0, 50.0), exposed(1, 1.0))) == pytest.approx([0, 2.0])


def test_a_frame_with_burnt_highlights_shows_no_sister_up():
    assert exposure_lag((exposed(0, 55.0, clipped=0.1), exposed(1, 40.0))) == pytest.approx([0, 0])


def test_a_frame_that_is_too_light_shows_no_sister_up():
    assert exposure_lag((exposed(0, 75.0), exposed(1, 50.0))) == pytest.approx([0, 0])


def test_moments_are_judged_apart():
    lag = exposure_lag((exposed(0, 50.0), exposed(1, 20.0, moment=1), exposed(2, 20.0, moment=1)))
    assert lag == pytest.approx([0, 0, 0])
