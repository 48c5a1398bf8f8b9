"""Sharpness, motion and grain of pictures blurred and grained by known amounts."""

from itertools import pairwise
from types import SimpleNamespace

import cv2
import numpy as np
import pytest

from setsolver.domain.geometry import WHOLE, Box
from setsolver.features import detail as module
from setsolver.features.detail import measure_detail, sharpness_in, sharpness_tiles
from setsolver.features.edges import BlurMap
from setsolver.features.grain import measure_noise


def patches(seed: int = 0, size: tuple[int, int] = (640, 960)) -> np.ndarray:
    """Overlapping discs of even greys: edges of every direction, anti-aliased; float32 0 to 255."""
    random = np.random.default_rng(seed)
    canvas = np.full((size[0] * 2, size[1] * 2), 128, np.float32)
    for _ in range(400):
        centre = (int(random.integers(0, size[1] * 2)), int(random.integers(0, size[0] * 2)))
        cv2.circle(canvas, centre, int(random.integers(20, 120)), float(random.uniform(20, 235)), -1)
    return cv2.resize(canvas, size[::-1], interpolation=cv2.INTER_AREA)


def codes(grey: np.ndarray) -> np.ndarray:
    return np.clip(np.rint(grey), 0, 255).astype(np.uint8)


def detail_of(grey: np.ndarray, subject: Box = WHOLE):
    noise = measure_noise(codes(grey))
    edges = BlurMap(codes(grey), noise.codes)
    return measure_detail(edges, sharpness_tiles(edges), subject, noise.lightness)


@pytest.mark.parametrize("blur", [1.0, 1.5, 2.0])
def test_the_blur_of_edges_is_measured_in_pixels(blur):
    edges = BlurMap(codes(cv2.GaussianBlur(patches(), (0, 0), blur)))
    assert np.median(edges.blur) == pytest.approx(np.hypot(blur, 0.4), rel=0.25)  # 0.4: area averaging and Sobel


def test_sharpness_falls_with_blur():
    found = [detail_of(patches()).sharpness]
    found += [detail_of(cv2.GaussianBlur(patches(), (0, 0), blur)).sharpness for blur in (0.6, 1.0, 2.0)]
    assert found[0] > 0.65  # area averaging without sharpening leaves 0.7 pixels
    assert all(before > after + 0.08 for before, after in pairwise(found))


def test_shallow_focus_is_no_fault():
    soft = cv2.GaussianBlur(patches(), (0, 0), 5)
    soft[200:440, 300:660] = patches()[200:440, 300:660]
    edges, subject = BlurMap(codes(soft)), Box(0.3, 0.3, 0.4, 0.4)
    detail = detail_of(soft, subject)
    assert detail.sharpness > 0.65
    assert detail.motion < 0.2
    assert sharpness_in(edges, subject) > 0.65 > sharpness_in(edges, Box(0, 0, 0.25, 0.25))


@pytest.mark.parametrize("length", [9, 15])
@pytest.mark.parametrize("upright", [False, True])
def test_motion_has_one_direction_and_defocus_has_none(length, upright):
    kernel = np.full((1, length), 1 / length, np.float32)
    moved = detail_of(cv2.filter2D(patches(), -1, kernel.T if upright else kernel)).motion
    assert moved > 0.3
    assert moved > 2 * detail_of(cv2.GaussianBlur(patches(), (0, 0), length / 4)).motion


@pytest.mark.parametrize("deviation", [1.0, 2.0, 4.0])
def test_grain_is_the_noise_in_lightness(deviation):
    noise = np.random.default_rng(1).normal(0, deviation, (640, 960))
    found = measure_noise(codes(np.full((640, 960), 119.0) + noise))
    assert found.codes == pytest.approx(deviation, rel=0.2)
    assert found.lightness == pytest.approx(deviation * 0.392, rel=0.2)  # code 119 is L* 50; a code there is 0.392 L*


def test_a_scene_of_beams_and_posts_still_tells_motion():
    beams = np.full((640, 960), 90, np.float32)
    for at in range(40, 600, 80):
        beams[at : at + 30] = 160
        beams[:, at + 100 : at + 130] = 40
    beams = cv2.warpAffine(beams, cv2.getRotationMatrix2D((480, 320), 4, 1), (960, 640), borderMode=cv2.BORDER_REFLECT)
    beams += cv2.GaussianBlur(np.random.default_rng(0).normal(0, 60, beams.shape), (0, 0), 2)
    moved = detail_of(cv2.filter2D(beams, -1, np.full((1, 11), 1 / 11, np.float32))).motion
    assert moved > 0.4
    assert moved > 4 * detail_of(cv2.GaussianBlur(beams, (0, 0), 2.5)).motion


@pytest.mark.parametrize(("deviation", "gain"), [(4.0, 0.08), (10.0, 0.2)])
def test_noise_makes_no_soft_picture_sharp(deviation, gain):
    soft = cv2.GaussianBlur(patches(), (0, 0), 1.2)
    noisy = soft + np.random.default_rng(2).normal(0, deviation, soft.shape)
    assert detail_of(noisy).sharpness < detail_of(soft).sharpness + gain


def test_edges_are_not_grain():
    assert measure_noise(codes(patches())).lightness < 0.2


def test_a_flat_picture_has_no_detail():
    detail = detail_of(np.full((64, 64), 90.0))
    assert (detail.sharpness, detail.motion, detail.grain) == (0, 0, 0)
    assert not detail.tiles.any()


def test_grain_of_wood_that_runs_one_way_is_no_motion():
    run = cv2.GaussianBlur(np.random.default_rng(4).normal(0, 1, (1400, 1400)).astype(np.float32), (0, 0), 60, sigmaY=4)
    run = cv2.warpAffine(run / run.std(), cv2.getRotationMatrix2D((700, 700), 25, 1), (1400, 1400))[380:1020, 220:1180]
    things = cv2.GaussianBlur(patches(7), (0, 0), 0.35)
    assert detail_of(things * 0.5 + 64 + 80 * run).motion < 0.35  # 0.48 by the median edge of each direction alone


def test_a_subject_without_edges_is_not_soft():
    grey = patches()
    grey[160:480, 240:720] = 128
    empty = Box(0.35, 0.35, 0.3, 0.3)
    best = detail_of(grey, empty)
    top = np.sort(best.tiles.ravel())[-4:].mean()
    assert sharpness_in(BlurMap(codes(grey)), empty) == 0
    assert best.sharpness == pytest.approx(0.75 * top, rel=1e-6)


@pytest.mark.parametrize(("most", "moves"), [(0.9, False), (1.1, True), (1.6, True)])
def test_only_what_blurs_by_more_than_a_pixel_is_motion(most, moves):
    # squared blur by direction is mean + swing cos 2a: the largest is ``most`` squared
    angle = (np.arange(1200, dtype=np.float32) + 0.5) * np.float32(np.pi / 1200)
    square = most**2 * (0.6 + 0.4 * np.cos(2 * angle))
    edges = SimpleNamespace(angle=angle, blur=np.sqrt(square).astype(np.float32))
    assert (module._motion(edges) > 0.3) == moves
