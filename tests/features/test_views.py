"""Shared views: sizes, and refusals that name the value."""

import cv2
import numpy as np
import pytest

from setsolver.errors import FrameRefused
from setsolver.features.views import MIDDLE, SMALL, make_views, shrink


def test_views_are_shrunk_to_their_long_sides_and_keep_the_mean():
    rgb = np.random.default_rng(0).integers(0, 256, (960, 1280, 3), dtype=np.uint8)
    views = make_views(rgb)
    assert views.middle.shape == (480, MIDDLE, 3)
    assert views.small.shape == (240, SMALL, 3)
    assert views.small.mean() == pytest.approx(rgb.mean(), abs=0.5)
    assert views.aspect == pytest.approx(4 / 3)


def test_small_pictures_are_not_enlarged():
    assert make_views(np.zeros((200, 300, 3), np.uint8)).middle.shape == (200, 300, 3)


@pytest.mark.parametrize("width", [1000, 1459, 2062, 2560, 5555])
def test_shrinking_is_nearly_area_averaging(width):
    rough = np.random.default_rng(1).integers(0, 256, (40, 60, 3), dtype=np.uint8)
    picture = cv2.resize(rough, (width, width * 2 // 3), interpolation=cv2.INTER_CUBIC)
    found = shrink(picture, 640)
    averaged = cv2.resize(picture, found.shape[1::-1], interpolation=cv2.INTER_AREA)
    assert max(found.shape) == 640
    assert np.abs(found.astype(int) - averaged).mean() < 0.5


@pytest.mark.parametrize(
    ("picture", "says"),
    [
        (np.zeros((100, 100), np.uint8), r"uint8\[100, 100\]"),
        (np.zeros((100, 100, 3), np.float32), "float32"),
        (np.zeros((8, 400, 3), np.uint8), "400 x 8 pixels; at least 16 x 16"),
    ],
)
def test_what_is_no_preview_is_refused_with_its_value(picture, says):
    with pytest.raises(FrameRefused, match=says):
        make_views(picture)
