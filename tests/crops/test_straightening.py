"""Levelling: which tilts are turned, and what levelling costs."""

import numpy as np
import pytest

from setsolver.crops.straightening import LEAST, MOST, SURE, level_angles, remaining_tilt, trusted
from setsolver.domain.geometry import WHOLE
from setsolver.domain.measures import Tilt
from setsolver.rules import assemble
from tests.rules.builders import make_brief, make_frame, make_snapshot


@pytest.mark.parametrize(
    ("tilt", "confidence", "level"),
    [
        (np.nan, 0.0, 0.0),
        (2.0, 0.9, 2.0),
        (-2.0, 0.9, -2.0),
        (2.0, SURE - 0.01, 0.0),
        (LEAST - 0.01, 1.0, 0.0),
        (MOST + 0.1, 1.0, 0.0),
    ],
)
def test_only_what_is_sure_and_reasonable_is_turned(tilt, confidence, level):
    assert level_angles(np.array([tilt]), np.array([confidence]), np.zeros(1)).tolist() == [level]


def test_a_larger_tilt_and_a_close_view_ask_for_more_confidence():
    tilt, sure = np.array([1.5, 5.0, 5.0, 1.5, 1.5]), np.array([0.55, 0.55, 0.8, 0.8, 0.95])
    close = np.array([0.1, 0.1, 0.1, 0.9, 0.9])
    assert trusted(tilt, sure, close).tolist() == [True, False, True, False, True]


def test_what_stays_tilted():
    tilt, sure = np.array([np.nan, 2.0, 0.1, 2.0, 20.0]), np.array([0.0, 0.9, 0.9, 0.1, 0.9])
    level = level_angles(tilt, sure, np.zeros(5))
    assert remaining_tilt(tilt, sure, np.zeros(5), level) == pytest.approx([0, 0, 0.1, 0, 0])


def test_a_tilted_frame_is_levelled_and_the_area_it_costs_is_told():
    assembly = assemble(make_snapshot(make_frame(0, tilt=Tilt(3.0, 0.9, 0.4))), make_brief(size=1))
    largest = assembly.renditions[0]
    assert largest.level == 3.0
    # Same aspect as the frame: the levelled crop's height is 1 / (aspect sin + cos) of the frame's.
    height = 1 / (1.5 * np.sin(np.radians(3)) + np.cos(np.radians(3)))
    assert largest.crop.h == pytest.approx(height)
    assert largest.level_cost == pytest.approx(1 - height**2)


def test_where_levelling_would_cut_the_subject_the_frame_stays_tilted_and_pays():
    frame = make_frame(0, tilt=Tilt(5.0, 0.9, 0.4), subject=WHOLE, confidence=0.9)  # would cost 21 % of it
    largest = assemble(make_snapshot(frame), make_brief(size=1)).renditions[0]
    assert largest.level == 0.0
    assert largest.level_cost == 0.0
    level = make_frame(0, subject=WHOLE, confidence=0.9)
    tilted, straight = (
        assemble(make_snapshot(f), make_brief(size=1)).parts.gains["composition"][0, 1] for f in (frame, level)
    )
    assert tilted < straight - 2 / 15
