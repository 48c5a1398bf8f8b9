"""Toning on L*a*b*: what it must and must not move."""

import numpy as np
import pytest

from setsolver.colour.toning import Toning, toned

AT = np.linspace(0, 100, 101)


def grey(*lightness, a=0.0, b=0.0):
    return np.array([[[value, a, b] for value in lightness]], np.float32)


def test_lightness_goes_through_the_table():
    toning = Toning(AT, np.clip(AT + 5, 0, 100))
    assert toned(grey(0, 50, 99), toning)[0, :, 0] == pytest.approx([5, 55, 100], abs=2e-3)


def test_a_lightness_is_looked_up_at_the_nearest_of_the_table_s_65536_steps():
    lightness = np.random.default_rng(0).uniform(0, 100, 2000).astype(np.float32)
    found = toned(grey(*lightness), Toning(AT, AT))[0, :, 0]
    assert np.abs(found - lightness).max() <= 50 / 65535 + 2e-5  # half a step, and rounding of float32


def test_what_lies_outside_counts_as_the_end():
    toning = Toning(AT, AT * 0.9 + 3)
    assert toned(grey(-4, 110), toning)[0, :, 0] == pytest.approx([3, 93], abs=2e-3)


def test_the_cast_acts_whole_on_greys_and_not_on_saturated_colours():
    toning = Toning(AT, AT, cast=(2.0, -3.0), centre=(1.0, 1.0))
    assert toned(grey(50, a=1, b=1), toning)[0, 0, 1:] == pytest.approx([3, -2])
    assert toned(grey(50, a=70, b=1), toning)[0, 0, 1:] == pytest.approx([70, 1])
    between = toned(grey(50, a=42, b=1), toning)[0, 0, 1:] - [42, 1]  # halfway of 22 to 60 from the centre: half
    assert between == pytest.approx([1.0, -1.5], abs=0.01)
    assert toned(grey(50, a=1, b=22), toning)[0, 0, 1:] == pytest.approx([3, 19])  # 21 away along the other axis
    one = Toning(AT, AT, cast=(0.0, 2.0))  # along one axis alone, of greys that have no cast
    assert toned(grey(50, a=3, b=4), one)[0, 0, 1:] == pytest.approx([3, 6])


def test_mono_has_no_colour():
    assert (toned(grey(20, 80, a=30, b=-9), Toning(AT, AT, cast=(4, 4), mono=True))[..., 1:] == 0).all()


def test_one_after_the_other_is_as_both_in_one():
    at = np.linspace(0, 100, 2048)
    first = Toning(at, at**0.9 / 100**-0.1, chroma=1.2)
    second = Toning(at, np.clip(at + 4, 0, 100), cast=(1.0, 2.0), centre=(3.0, 0.0))
    lab = np.random.default_rng(0).uniform([0, -20, -20], [100, 20, 20], (20, 20, 3)).astype(np.float32)
    assert np.abs(toned(lab, first.then(second)) - toned(toned(lab, first), second)).max() < 0.02


def test_pixels_given_are_left_alone():
    lab = grey(10, 20)
    toned(lab, Toning(AT, AT + 0, cast=(5.0, 5.0)))
    assert (lab[..., 1:] == 0).all()
