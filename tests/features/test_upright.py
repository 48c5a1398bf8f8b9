"""Uprightness: what the looks say, put together, and a known picture in its four turns."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.features.sight import FEATURES, Sight
from setsolver.features.upright import TURNS, Regression, UprightHead, halves, judged, together


def test_halves_are_the_mean_and_what_the_halves_differ_in():
    places = np.zeros((14, 14, 768), np.float32)
    places[:7, :, 0] = 1  # the upper half
    places[:, 7:, 1] = 1  # the right half
    cues = halves(places)
    assert cues.shape == (2304,)
    assert cues[[0, 1]] == pytest.approx([0.5, 0.5])
    assert cues[[768, 769]] == pytest.approx([1, 0])
    assert cues[[1536, 1537]] == pytest.approx([0, -1])


@given(st.integers(0, 3), st.integers(0, 99))
def test_a_frame_that_underwent_a_turn_is_found_by_looks_that_see_it(undergone, seed):
    """Turned on by k quarters, a frame that underwent u has undergone u + k: looks that are right agree on u."""
    spoken = np.random.default_rng(seed).uniform(0, 0.4, (4, 4))
    spoken[np.arange(4), (undergone + np.arange(4)) % 4] += 0.5
    assert int(np.argmax(together(spoken))) == undergone


def head(sure=0.3):
    nothing = np.zeros(4, np.float32)
    plain = Regression(nothing, nothing + 1, np.eye(4, dtype=np.float32), nothing)
    return UprightHead(plain, plain, 0.0, sure, (4, 0), (4, 0))


@pytest.mark.parametrize(
    ("strengths", "turn"),
    [
        ([0.9, 0.1, 0, 0], 0),
        ([0.25, 0.2, 0, 0], 0),
        ([0, 0.9, 0, 0], 270),
        ([0, 0, 0.9, 0], 180),
        ([0, 0, 0, 0.9], 90),
        ([0.3, 0.5, 0, 0], None),
    ],
)
def test_a_turn_is_said_where_the_margin_is_enough(strengths, turn):
    found = judged(np.array(strengths), head())
    assert found.turn == turn
    assert 0.5 <= found.confidence < 1


def test_turned_copies_of_a_portrait_are_found(astronaut, models):
    """What is said is the turn clockwise that undoes the copy's."""
    for quarter, turn in enumerate(TURNS):
        copy = np.ascontiguousarray(np.rot90(astronaut, -quarter))
        found = FEATURES["upright"](Sight(copy, models, {}))
        assert found.turn == (360 - turn) % 360
        assert found.confidence > 0.9


def test_the_head_that_comes_along_is_whole_and_surer_by_a_larger_margin():
    came = UprightHead.load()
    assert [part.shape for part in came.first] == [(2304,), (2304,), (2304, 4), (4,)]
    assert [part.shape for part in came.again] == [(768,), (768,), (768, 4), (4,)]
    assert came.sure > 0 < min(came.one[0], came.four[0])
