"""Shared views: sizes, and refusals that name the value."""

import numpy as np
import pytest

from setsolver.errors import FrameRefused
from setsolver.features.views import MIDDLE, SMALL, make_views


def test_views_are_shrunk_to_their_long_sides_and_keep_the_mean():
    rgb = np.random.default_rng(0).integers(0, 256, (960, 1280, 3), dtype=np.uint8)
    views = make_views(rgb)
    assert views.middle.shape == (480, MIDDLE, 3)
    assert views.small.shape == (240, SMALL, 3)
    assert views.small.mean() == pytest.approx(rgb.mean(), abs=0.5)
    assert views.aspect == pytest.approx(4 / 3)


def test_small_pictures_are_not_enlarged():
    assert make_views(np.zeros((200, 300, 3), np.uint8)).middle.shape == (200, 300, 3)


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
