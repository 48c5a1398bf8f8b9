"""Shrinking against area averaging, and the sizes that it gives."""

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.scaling import fitted, shrunk


@pytest.mark.parametrize("width", [1000, 1459, 2062, 2560, 5555])
def test_shrinking_is_nearly_area_averaging(width):
    rough = np.random.default_rng(1).integers(0, 256, (40, 60, 3), dtype=np.uint8)
    picture = cv2.resize(rough, (width, width * 2 // 3), interpolation=cv2.INTER_CUBIC)
    found = shrunk(picture, 640)
    averaged = cv2.resize(picture, found.shape[1::-1], interpolation=cv2.INTER_AREA)
    assert max(found.shape) == 640
    assert np.abs(found.astype(int) - averaged).mean() < 0.5


def test_averaging_keeps_the_mean():
    pixels = np.random.default_rng(2).integers(0, 255, (1000, 1500, 3), dtype=np.uint8)
    assert shrunk(pixels, 500).mean() == pytest.approx(pixels.mean(), abs=0.6)


@given(st.integers(1, 3000), st.integers(1, 3000), st.integers(1, 2000))
def test_sizes_fit_keep_their_shape_and_never_grow(width, height, long_side):
    small = fitted((width, height), long_side)
    assert max(small) == min(long_side, max(width, height))
    scale = max(small) / max(width, height)
    assert all(abs(now - max(1, was * scale)) <= 0.51 for now, was in zip(small, (width, height), strict=True))
