"""What setsolver measures in the demo catalog against what is known of it.

Source of every truth here: demo_catalog/truth.json, written by the scripts that rendered the frames.
"""

import math
from itertools import combinations

import pytest

pytestmark = pytest.mark.slow


def light(frame):
    """Luminance of the mid tone, from its L* (CIE 15)."""
    return ((frame.measures.tone.mid + 16) / 116) ** 3


def test_no_frame_is_refused(snapshot, known):
    assert snapshot.refused == ()
    assert {frame.path for frame in snapshot.frames} == set(known)


def tilt_errors(frames, known):
    """Measured minus true roll in degrees of the frames with a horizon whose tilt is stated."""
    return [
        frames[path].measures.tilt.degrees - truth["roll_degrees"]
        for path, truth in known.items()
        if truth["horizon_in_view"] and frames[path].measures.tilt.degrees is not None
    ]


def test_tilt_of_most_horizons_is_stated_and_nearly_all_within_half_a_degree(frames, known):
    """A frame with the horizon in view may be unsure, but most must not be."""
    errors = tilt_errors(frames, known)
    assert len(errors) > 0.5 * sum(truth["horizon_in_view"] for truth in known.values())
    assert sum(abs(error) > 0.5 for error in errors) <= 1
    assert max(map(abs, errors)) <= 0.7


def test_tilt_of_every_stated_horizon_is_within_half_a_degree(frames, known):
    assert max(map(abs, tilt_errors(frames, known))) <= 0.5


def test_exposure_shift_between_frames_of_a_burst(frames, known):
    """The tone curve is linear up to 0.42 of white, so mid tones follow the exposure."""
    compared = 0
    for one, two in combinations(known, 2):
        a, b = known[one], known[two]
        alike = a["burst"] and a["burst"] == b["burst"] and a["shot"] == b["shot"]
        if (
            not alike
            or max(light(frames[one]), light(frames[two])) > 0.42
            or a["softness_pixels"]
            or b["softness_pixels"]
        ):
            continue
        compared += 1
        shift = math.log2(light(frames[two]) / light(frames[one]))
        assert shift == pytest.approx(b["exposure_ev"] - a["exposure_ev"], abs=0.15), (one, two)
    assert compared >= 20


def test_all_bursts_are_found_whole(frames, known):
    for burst in {truth["burst"] for truth in known.values()} - {None}:
        moments = {frames[path].moment for path, truth in known.items() if truth["burst"] == burst}
        assert len(moments) == 1, burst


def false_pairs(snapshot, known):
    """Shots of frames called one picture, or put into one moment, that are neither of one burst nor twins."""
    false = set()
    for a, b in combinations(snapshot.frames, 2):
        one, two = known[a.path], known[b.path]
        same = one["burst"] is not None and one["burst"] == two["burst"]
        twins = one["near_duplicate"] is not None and one["near_duplicate"] == two["near_duplicate"]
        if (a.moment == b.moment or (a.id, b.id) in snapshot.pairs) and not same and not twins:
            false.add((one["shot"], two["shot"]))
    return false


def test_hardly_any_false_pair(snapshot, known):
    assert len(false_pairs(snapshot, known)) <= 1


def test_no_false_pair(snapshot, known):
    assert not false_pairs(snapshot, known)


def test_the_pair_taken_hours_apart_is_known_for_one_picture(snapshot, known):
    twins = [frame for frame in snapshot.frames if known[frame.path]["near_duplicate"]]
    late = [frame for frame in twins if known[frame.path]["burst"] is None]
    early = [frame for frame in twins if known[frame.path]["burst"] and known[frame.path]["exposure_ev"] == 0.0]
    assert late
    assert early
    for one in early:
        for two in late:
            assert one.moment == two.moment or (min(one.id, two.id), max(one.id, two.id)) in snapshot.pairs


def share_of_right_scales(frames, known):
    """Share of frames whose scale is told; unsure (no scale at even odds or better) counts as wrong."""
    right = [
        frames[path].measures.odds.best == truth["scale"] and frames[path].measures.odds.sure >= 0.5
        for path, truth in known.items()
    ]
    return sum(right) / len(right)


def test_scale_is_right_on_nine_in_ten(frames, known):
    assert share_of_right_scales(frames, known) >= 0.9
