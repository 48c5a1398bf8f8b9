"""Shared views: sizes, and refusals that name the value."""

import numpy as np
import pytest

from setsolver.domain.geometry import WHOLE, Box
from setsolver.errors import FrameRefused
from setsolver.features.views import MIDDLE, SMALL, cut, make_views


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


@pytest.mark.parametrize(
    ("box", "part"),
    [
        (WHOLE, np.s_[:, :]),
        (Box(0.25, 0.5, 0.5, 0.25), np.s_[50:75, 40:120]),
        (Box(0.999, 0.999, 0.0, 0.0), np.s_[99:100, 159:160]),
        (Box(0.1, 0.2, 0.0, 0.0), np.s_[20:21, 16:17]),
        (Box(0.1, 0.099, 0.104, 0.107), np.s_[9:21, 16:33]),
    ],
)
def test_a_cut_is_its_box_in_whole_pixels_and_never_nothing(box, part):
    """By hand: from the pixel that the box begins in to the nearest edge of one; at least one."""
    rgb = np.random.default_rng(0).integers(0, 256, (100, 160, 3), dtype=np.uint8)
    assert np.array_equal(cut(make_views(rgb), box), rgb[part])


def test_the_long_sides_are_640_and_320():
    assert (MIDDLE, SMALL) == (640, 320)
    tall = make_views(np.zeros((1280, 640, 3), np.uint8))
    assert (tall.middle.shape, tall.small.shape, tall.aspect) == ((640, 320, 3), (320, 160, 3), 0.5)


@pytest.mark.parametrize(("side", "good"), [(15, False), (16, True)])
def test_sixteen_pixels_are_enough(side, good):
    for shape in ((side, 40, 3), (40, side, 3)):
        if good:
            assert make_views(np.zeros(shape, np.uint8)).grey.shape == shape[:2]
        else:
            with pytest.raises(FrameRefused, match="at least 16 x 16"):
                make_views(np.zeros(shape, np.uint8))
