"""Colour against published pairs, worked values and scikit-image."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage import color

from setsolver.colour.lab import (
    ciede2000,
    lab_to_linear,
    lab_to_srgb,
    lightness_of_luminance,
    linear_to_lab,
    linear_to_srgb,
    luminance_of_lightness,
    srgb_to_lab,
    srgb_to_linear,
)

DATA = Path(__file__).parents[1] / "data" / "colour"
codes = st.integers(0, 255)


def rows(name: str) -> list[dict[str, str]]:
    lines = (DATA / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize("row", rows("ciede2000_sharma2005_34pairs.csv"), ids=lambda row: row["pair"])
def test_ciede2000_equals_sharma_wu_dalal_2005_table_1(row):
    one, two = ([float(row[axis + side]) for axis in "Lab"] for side in "12")
    for found in (ciede2000(one, two), ciede2000(two, one)):
        if row["pair"] == "14":  # sits on the 180 degree branch of the hue: both values occur in print
            assert min(abs(found - 4.8045), abs(found - 4.7461)) <= 1e-4
        else:
            assert found == pytest.approx(float(row["dE00"]), abs=1e-4)


def test_ciede2000_equals_scikit_image_on_random_colours():
    random = np.random.default_rng(5)
    one, two = (random.uniform((0, -100, -100), (100, 100, 100), (4000, 3)) for _ in range(2))
    assert np.abs(ciede2000(one, two) - color.deltaE_ciede2000(one, two)).max() < 1e-4


@pytest.mark.parametrize("row", rows("srgb_lab_worked_values.csv"), ids=lambda row: row["name"])
def test_srgb_to_lab_equals_worked_values(row):
    rgb = np.array([[[int(row[channel]) for channel in ("R8", "G8", "B8")]]], np.uint8)
    linear = [float(row[channel]) for channel in ("linR", "linG", "linB")]
    assert srgb_to_linear(rgb)[0, 0] == pytest.approx(linear, abs=2e-6)
    assert srgb_to_lab(rgb)[0, 0] == pytest.approx([float(row[axis]) for axis in "Lab"], abs=1e-3)


def test_srgb_to_lab_agrees_with_scikit_image_over_the_cube():
    steps = np.arange(0, 256, 15, dtype=np.uint8)
    cube = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(1, -1, 3)
    assert np.abs(srgb_to_lab(cube) - color.rgb2lab(cube)).max() < 0.03  # matrices differ in the fourth decimal


@given(st.tuples(codes, codes, codes))
def test_lab_and_linear_give_the_codes_back(code):
    rgb = np.array([[code]], np.uint8)
    assert (lab_to_srgb(srgb_to_lab(rgb)) == rgb).all()
    assert (linear_to_srgb(srgb_to_linear(rgb)) == rgb).all()


@given(codes)
def test_greys_have_no_colour(code):
    lab = srgb_to_lab(np.full((1, 1, 3), code, np.uint8))
    assert np.abs(lab[..., 1:]).max() < 1e-3


@given(st.floats(0, 1))
def test_lightness_and_luminance_are_inverse(luminance):
    assert luminance_of_lightness(lightness_of_luminance(luminance)) == pytest.approx(luminance, abs=1e-12)


@pytest.mark.parametrize(
    ("luminance", "lightness"), [(0, 0), (0.001, 0.9033), (216 / 24389, 8), (0.18, 49.496), (1, 100)]
)
def test_lightness_is_that_of_worked_values(luminance, lightness):
    """ISO/CIE 11664-4 by hand: 116 Y^(1/3) - 16, below 8 903.3 Y; a grey card of 18 % is 49.5 (common practice)."""
    assert lightness_of_luminance(luminance) == pytest.approx(lightness, abs=1e-3)
    assert luminance_of_lightness(lightness) == pytest.approx(luminance, abs=1e-5)


def test_light_beyond_srgb_goes_to_lab_and_back():
    """A wide space has light below 0 and above 1: the line of f(t) goes on below 0 (ISO/CIE 11664-4)."""
    light = np.random.default_rng(2).uniform(-0.04, 1.3, (30, 40, 3)).astype(np.float32)
    lab = linear_to_lab(light)
    assert lab[..., 0].max() > 100
    assert np.abs(lab_to_linear(lab) - light).max() < 1e-5
    y = light @ [0.2126, 0.7152, 0.0722]
    assert np.abs(lab[..., 0] - np.where(y > 216 / 24389, 116 * np.cbrt(y) - 16, 24389 / 27 * y)).max() < 1e-3


def test_codes_in_a_row_become_the_light_that_they_become_in_a_picture():
    codes = np.arange(256, dtype=np.uint8).reshape(-1, 1).repeat(3, axis=1)
    assert (srgb_to_linear(codes) == srgb_to_linear(codes[None])[0]).all()
