"""What stands out by pixels: distances along known ways, and the spectral residual."""

import numpy as np
import pytest

from setsolver.features.saliency import SIDE, enclosed, surprising


def lab_of(lightness: np.ndarray) -> np.ndarray:
    return np.dstack([lightness, np.zeros_like(lightness), np.zeros_like(lightness)]).astype(np.float32)


def test_an_enclosed_patch_is_far_from_the_border_by_its_step():
    lightness = np.full((SIDE, SIDE), 40.0)
    lightness[20:44, 24:48] = 70.0
    far, distance = enclosed(lab_of(lightness))
    assert far[32, 36] > 0.95
    assert far[4, 4] < 0.05
    assert 15 < distance < 30  # the step, less what its blurred edge passes as free


def test_a_patch_that_reaches_the_border_is_background():
    lightness = np.full((SIDE, SIDE), 40.0)
    lightness[20:44, 24:] = 70.0
    assert enclosed(lab_of(lightness))[1] < 2.0


def test_a_slow_gradient_costs_nothing():
    ramp = np.tile(np.linspace(20, 80, SIDE), (SIDE, 1))
    assert enclosed(lab_of(ramp))[1] < 0.5


@pytest.mark.parametrize(("row", "column"), [(32, 44), (14, 20), (50, 30)])
def test_what_is_unlike_its_surroundings_surprises(row, column):
    noise = np.random.default_rng(0).normal(50, 3, (SIDE, SIDE)).astype(np.float32)
    noise[row - 4 : row + 4, column - 4 : column + 4] += 40
    surprise = surprising(noise)
    assert surprise[row - 6 : row + 6, column - 6 : column + 6].max() > 0.95
    assert surprise.mean() < 0.35
