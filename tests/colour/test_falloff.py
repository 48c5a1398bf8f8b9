"""Falloff against its definition, pixel by pixel from the distance to the middle."""

import numpy as np
import pytest

from setsolver.colour.falloff import falloff_gains, with_falloff
from setsolver.colour.lab import lab_to_linear, srgb_to_lab


@pytest.mark.parametrize("aspect", [1.5, 0.75])
@pytest.mark.parametrize("ev", [-1.0, 0.5])
def test_corners_have_all_of_it_edges_their_share_and_the_middle_none(aspect, ev):
    ends = np.array([-1.0, 0.0, 1.0])
    across, down = falloff_gains(ends, ends, aspect, ev)
    side, top = aspect**2 / (1 + aspect**2), 1 / (1 + aspect**2)  # squares of r, which is 1 in corners (Pythagoras)
    by_hand = [[1.0, top, 1.0], [side, 0.0, side], [1.0, top, 1.0]]
    assert np.log2(down[:, None] * across) == pytest.approx(ev * np.array(by_hand), abs=1e-6)


@pytest.mark.parametrize("size", [(24, 36), (40, 30)])
def test_each_pixel_s_light_falls_off_by_its_distance_from_the_middle(size):
    lab = srgb_to_lab(np.full((*size, 3), 150, np.uint8))
    rows, columns = np.mgrid[: size[0], : size[1]] + 0.5
    r = np.hypot(columns - size[1] / 2, rows - size[0] / 2) / np.hypot(size[0] / 2, size[1] / 2)
    gain = lab_to_linear(with_falloff(lab, -0.8)) / lab_to_linear(lab)
    assert np.abs(gain - 2.0 ** (-0.8 * r**2)[..., None]).max() < 1e-4


def test_none_is_the_same_array():
    lab = np.zeros((3, 4, 3), np.float32)
    assert with_falloff(lab, 0.0) is lab
