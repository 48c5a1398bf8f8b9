"""Developing keeps what truth.json promises: exact turns, exact exposure, the same picture every time."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from demo_catalog.make.day import PARTS
from demo_catalog.make.develop import KNEE, LIGHT, cut, develop, field_of, meter
from demo_catalog.make.hours import Setting
from demo_catalog.make.shot import Shot
from demo_catalog.make.shots import SETS, every_shot
from demo_catalog.make.subjects import SUBJECTS
from demo_catalog.make.takes import Take

PLAIN = Setting(100, 0.0, (0.0, 0.0))
SHOT = Shot("test", "yard", "noon", (0.0, 0.0, 1.0), (0.0, 2.0, 1.0), 40, 5.6)


def scene(level=1.0):
    """A dark half below a light half, split by a level edge in the middle."""
    linear = np.full((1056, 1584, 3), level, np.float16)
    linear[528:] = level * 0.25
    return linear


def edge_rows(values):
    """Row of the edge in every column."""
    return np.argmax(np.diff(values[..., 1].astype(float), axis=0) < -0.1, axis=0)


@pytest.mark.parametrize("turn", [-4.0, -0.7, 1.5, 3.0])
def test_a_turn_tilts_the_horizon_by_exactly_that(turn):
    rows = edge_rows(cut(scene(), Take("test", "10:00:00.00", turn=turn)))
    middle = slice(200, -200)
    slope = np.polyfit(np.arange(len(rows))[middle], rows[middle], 1)[0]
    assert -np.degrees(np.arctan(slope)) == pytest.approx(turn, abs=0.05)


def test_a_turned_frame_shows_no_corner_beyond_the_render():
    take = Take("test", "10:00:00.00", turn=3.0)
    marked = np.ones((1056, 1584, 3), np.float16)
    marked[:2] = marked[-2:] = 0
    marked[:, :2] = marked[:, -2:] = 0
    assert cut(marked, take).min() > 0.99
    assert field_of(take, 1584) < field_of(replace(take, turn=0.0), 1584)


def test_a_stop_doubles_the_light_below_the_knee():
    flat = np.full((1056, 1584, 3), 0.4, np.float16)
    take = Take("test", "10:00:00.00")
    exposures = [meter(flat, SHOT, 100, bias, PLAIN) for bias in (0.0, 1.0)]
    levels = [decoded(develop(flat, take, exposure)[400:600, 600:900].mean()) for exposure in exposures]
    assert max(levels) < KNEE
    gathered = np.log2(exposures[1].factor / exposures[0].factor)
    assert np.log2(levels[1] / levels[0]) == pytest.approx(gathered, abs=0.01)
    assert gathered == pytest.approx(1.0, abs=0.05)  # shutter times are whole fractions of a second


def decoded(value):
    """Light of an sRGB value (IEC 61966-2-1)."""
    return ((value / 255 + 0.055) / 1.055) ** 2.4


def test_the_same_take_gives_the_same_picture_and_another_gives_other_noise():
    take = Take("test", "10:00:00.00")
    exposure = meter(scene(), SHOT, 100, 0.0, PLAIN)
    first = develop(scene(), take, exposure)
    assert np.array_equal(first, develop(scene(), take, exposure))
    assert not np.array_equal(first, develop(scene(), replace(take, clock="10:00:00.41"), exposure))


def test_every_take_has_a_shot_every_shot_a_set_and_words():
    shots = {shot.name: shot for shot in every_shot()}
    assert len(shots) == len(every_shot())
    assert {take.shot for takes in PARTS.values() for take in takes} <= set(shots)
    assert {shot.place for shot in shots.values()} == set(SETS)
    assert set(shots) == set(SUBJECTS)


def test_takes_follow_the_clock():
    clocks = [take.clock for takes in PARTS.values() for take in takes]
    assert clocks == sorted(clocks)


@given(st.floats(1e-4, 2.0))
def test_a_stated_shutter_is_within_a_fiftieth_of_a_stop(wanted):
    level = 0.165 / (wanted * PLAIN.iso / SHOT.f_number**2 * LIGHT) - 1e-4  # what the meter adds
    flat = np.full((32, 48, 3), level, np.float32)
    stated = meter(flat, SHOT, PLAIN.iso, 0.0, PLAIN).seconds
    assert abs(np.log2(stated[0] / stated[1] / wanted)) < 0.02
