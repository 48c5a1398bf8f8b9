"""Sharpness, motion and grain of pictures blurred and grained by known amounts."""

import cv2
import numpy as np
import pytest

from setsolver.domain.geometry import WHOLE, Box
from setsolver.features.detail import blur_map, measure_detail, sharpness_in
from setsolver.features.views import make_views


def patches(seed: int = 0, size: tuple[int, int] = (640, 960)) -> np.ndarray:
    """Overlapping discs of even greys: edges of every direction, anti-aliased; float32 0 to 255."""
    random = np.random.default_rng(seed)
    canvas = np.full((size[0] * 2, size[1] * 2), 128, np.float32)
    for _ in range(400):
        centre = (int(random.integers(0, size[1] * 2)), int(random.integers(0, size[0] * 2)))
        cv2.circle(canvas, centre, int(random.integers(20, 120)), float(random.uniform(20, 235)), -1)
    return cv2.resize(canvas, size[::-1], interpolation=cv2.INTER_AREA)


def views_of(grey: np.ndarray):
    return make_views(np.repeat(np.clip(np.rint(grey), 0, 255).astype(np.uint8)[..., None], 3, axis=2))


@pytest.mark.parametrize("blur", [1.0, 1.5, 2.0])
def test_the_blur_of_edges_is_measured_in_pixels(blur):
    edges = blur_map(views_of(cv2.GaussianBlur(patches(), (0, 0), blur)))
    assert np.median(edges.blur) == pytest.approx(np.hypot(blur, 0.4), rel=0.25)  # 0.4: area averaging and Sobel


def test_sharpness_falls_with_blur():
    found = [
        measure_detail(view, blur_map(view), WHOLE).sharpness
        for view in (views_of(cv2.GaussianBlur(patches(), (0, 0), blur) if blur else patches()) for blur in (0, 1.5, 3))
    ]
    assert found[0] > 0.9
    assert found[0] > found[1] + 0.1
    assert found[1] > found[2] + 0.1


def test_shallow_focus_is_no_fault():
    grey = patches()
    soft = cv2.GaussianBlur(grey, (0, 0), 5)
    soft[200:440, 300:660] = grey[200:440, 300:660]
    view = views_of(soft)
    edges = blur_map(view)
    subject = Box(0.3, 0.3, 0.4, 0.4)
    assert measure_detail(view, edges, subject).sharpness > 0.9
    assert sharpness_in(edges, subject) > 0.9 > sharpness_in(edges, Box(0, 0, 0.25, 0.25))
    assert measure_detail(view, edges, subject).motion < 0.2


@pytest.mark.parametrize("length", [9, 15])
def test_motion_has_one_direction_and_defocus_has_none(length):
    kernel = np.full((1, length), 1 / length, np.float32)
    moved = views_of(cv2.filter2D(patches(), -1, kernel))
    defocused = views_of(cv2.GaussianBlur(patches(), (0, 0), length / 4))
    motion = measure_detail(moved, blur_map(moved), WHOLE).motion
    assert motion > 0.3
    assert motion > 2 * measure_detail(defocused, blur_map(defocused), WHOLE).motion


@pytest.mark.parametrize("deviation", [1.0, 2.0, 4.0])
def test_grain_is_the_noise_in_lightness(deviation):
    noise = np.random.default_rng(1).normal(0, deviation, (640, 960))
    view = views_of(np.full((640, 960), 119.0) + noise)  # code 119 is L* 50; one code there is 0.392 L*
    assert measure_detail(view, blur_map(view), WHOLE).grain == pytest.approx(deviation * 0.392, rel=0.2)


def test_edges_are_not_grain():
    view = views_of(patches())
    assert measure_detail(view, blur_map(view), WHOLE).grain < 0.2


def test_a_flat_picture_has_no_detail():
    view = views_of(np.full((64, 64), 90.0))
    detail = measure_detail(view, blur_map(view), WHOLE)
    assert (detail.sharpness, detail.motion, detail.grain) == (0, 0, 0)
    assert not detail.tiles.any()
