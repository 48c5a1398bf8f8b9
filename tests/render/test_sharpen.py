"""Sharpening: what it moves, and what it leaves."""

import numpy as np
import pytest

from setsolver.render.sharpen import PLAIN, Sharpening, sharpened, sharpening_for


def lab(lightness):
    return np.stack([lightness, np.full_like(lightness, 7), np.full_like(lightness, -3)], axis=-1).astype(np.float32)


def test_an_edge_gets_steeper_on_both_sides_and_by_no_more_than_the_limit():
    step = np.where(np.arange(40) < 20, 30.0, 70.0)[None].repeat(20, axis=0)
    made = sharpened(lab(step), Sharpening(1.0))
    assert made.shape == (14, 34, 3)
    row = made[7, :, 0]
    assert 25 <= row.min() < 29
    assert 71 < row.max() <= 75
    assert row[0] == pytest.approx(30)
    assert row[-1] == pytest.approx(70)


def test_colour_is_left_alone():
    noise = np.random.default_rng(0).uniform(0, 100, (30, 30))
    made = sharpened(lab(noise), Sharpening(0.7))
    assert (made[..., 1] == 7).all()
    assert (made[..., 2] == -3).all()


def test_faint_grain_is_left_alone():
    grain = 50 + 0.1 * np.random.default_rng(0).standard_normal((30, 30))
    made = sharpened(lab(grain), Sharpening(1.0))
    assert np.abs(made[..., 0] - grain[3:-3, 3:-3]).max() < 1e-4


@pytest.mark.parametrize(("height", "moved"), [(0.45, 0.0), (2.0, 0.7), (-2.0, 0.7), (40.0, 1.0)])
def test_a_line_is_moved_by_a_share_of_what_it_stands_out_less_grain_and_no_farther_than_the_limit(height, moved):
    """0.7 of what is above 0.4, at most 5 (module's own words); a line of one pixel is blurred to g of itself."""
    field = np.full((15, 15), 50.0)
    field[:, 7] += height
    made = sharpened(lab(field), Sharpening(1.0))[:, :, 0]
    g = 1 / np.exp(-0.5 * np.arange(-3, 4) ** 2.0).sum()  # the Gaussian's middle weight, of seven
    strong = np.sign(height) * max(0.0, abs(height) * (1 - g) - 0.4)
    expected = np.clip(0.7 * strong, -5, 5) if moved else 0.0
    assert made[:, 4] - 50 - height == pytest.approx(expected, abs=1e-3)
    assert (abs(expected) == 5) == (moved == 1.0)


def test_none_is_none():
    picture = lab(np.eye(5) * 100)
    assert sharpened(picture, PLAIN) is picture
    assert PLAIN.margin == 0


def test_it_is_as_fine_as_the_eye_at_the_print_s_distance():
    """Half of 1' at the diagonal: 60 x 90 cm is seen from 108 cm, where 1' is 0.315 mm: 1.86 pixels at 300 ppi."""
    assert sharpening_for(60, 90, 300).sigma == pytest.approx(
        108.17 * np.tan(np.radians(1 / 60)) / 2.54 * 150, rel=1e-3
    )
    assert sharpening_for(10, 15, 100).sigma == 0.5
    assert sharpening_for(300, 450, 300).sigma == 2.5
