"""Pixels after a correction: the tone measured in them is the tone before plus the correction."""

from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image
from skimage.color import rgb2lab

from setsolver.domain.outcome import Correction, ToneRecord
from setsolver.domain.tone_curve import reached
from setsolver.output.toned import correct, cut, finish
from tests.crops.plain import largest_crop
from tests.output.builders import set_frame

NONE = Correction(black=0, mid=0, white=0)


def scene(seed=3, shape=(300, 450)):
    """A picture with smooth tones, greys, a cast and one saturated patch; uint8[300, 450, 3]."""
    rng = np.random.default_rng(seed)
    coarse = rng.uniform(0, 1, (7, 9, 1)) ** 1.4 + rng.normal(0, 0.02, (7, 9, 3))
    smooth = cv2.resize(np.clip(coarse, 0, 1), shape[::-1], interpolation=cv2.INTER_CUBIC)
    picture = np.clip(smooth * (220, 212, 200) + 28, 0, 255).astype(np.uint8)
    picture[:40, :40] = (200, 30, 20)
    return picture


def near_grey(rgb):
    """Pixels within 20 a*b* units of grey; bool[H, W]."""
    return np.hypot(*np.moveaxis(rgb2lab(rgb)[..., 1:], 2, 0)) < 20


def measured(rgb, grey=None, black=2.0, white=99.0):
    """Tone by scikit-image's L*a*b* and numpy's percentiles: an independent way to the same numbers."""
    lab = rgb2lab(rgb)
    grey = near_grey(rgb) if grey is None else grey
    b, m, w = np.percentile(lab[..., 0], (black, 50, white))
    return ToneRecord(black=b, mid=m, white=w, cast_a=lab[..., 1][grey].mean(), cast_b=lab[..., 2][grey].mean())


@pytest.mark.parametrize("by", [(4, 8, -6), (-3, -8, 0), (2, 0, -4), (0, 5, 0), (-4, 0, -2)])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_measured_tone_moves_by_the_correction(seed, by):
    picture = scene(seed)
    tone = measured(picture)
    correction = Correction(black=by[0], mid=by[1], white=by[2])
    got = measured(correct(picture, tone, correction))
    wanted = (tone.black + by[0], tone.mid + by[1], tone.white + by[2])
    assert (got.black, got.mid, got.white) == pytest.approx(wanted, abs=0.4)


def test_measured_cast_moves_by_the_correction_and_saturated_colour_keeps():
    picture = scene()
    tone = measured(picture)
    shifted = correct(picture, tone, Correction(black=0, mid=0, white=0, cast_a=2.0, cast_b=-3.0))
    got = measured(shifted)
    assert (got.cast_a, got.cast_b) == pytest.approx((tone.cast_a + 2, tone.cast_b - 3), abs=0.4)
    assert np.abs(shifted[:40, :40].astype(int) - picture[:40, :40]).max() <= 1


def test_no_correction_gives_back_every_code():
    picture = scene()
    again = correct(picture, measured(picture), NONE)
    assert np.abs(again.astype(int) - picture).max() <= 1


def test_mono_is_grey_with_the_lightness_of_the_colour():
    picture = scene()[::3, ::3]
    grey = correct(picture, measured(picture), NONE, "mono")
    assert np.ptp(grey, axis=2).max() <= 1
    assert rgb2lab(grey)[..., 0] == pytest.approx(rgb2lab(picture)[..., 0], abs=0.6)


def test_a_crop_is_the_pixels_that_it_names():
    picture = scene()
    part = cut(picture, (1 / 3, 0.0, 1 / 3, 0.5))
    assert part.shape == (150, 150, 3)
    assert np.array_equal(part, picture[:150, 150:300])


def test_a_smaller_crop_keeps_its_aspect_and_mean():
    picture = scene()
    part = cut(picture, (0.0, 0.0, 1.0, 1.0), long_side=90)
    assert part.shape == (60, 90, 3)
    assert part.mean(axis=(0, 1)) == pytest.approx(picture.mean(axis=(0, 1)), abs=1)


def test_a_crop_is_never_scaled_up():
    assert cut(scene(), (0.0, 0.0, 0.5, 0.5), long_side=4000).shape == (150, 225, 3)


@pytest.mark.parametrize("shape", [(60, 180), (180, 60)])
def test_a_third_of_the_size_is_the_mean_of_nine_pixels(shape):
    noise = np.random.default_rng(5).integers(0, 256, (*shape, 3), dtype=np.uint8)
    small = cut(noise, (0.0, 0.0, 1.0, 1.0), long_side=60)
    mean = noise.reshape(shape[0] // 3, 3, shape[1] // 3, 3, 3).mean(axis=(1, 3))
    assert np.abs(small - mean).max() <= 1


def test_a_strip_keeps_a_row_and_a_column_of_pixels():
    strip = np.full((2, 900, 3), 90, np.uint8)
    for picture in (strip, strip.transpose(1, 0, 2)):
        part = cut(picture, (0.0, 0.0, 1.0, 1.0), long_side=30)
        assert sorted(part.shape[:2]) == [1, 30]
        assert (part == 90).all()


def test_levelling_makes_a_tilted_horizon_level():
    # The horizon's right end is lower by 4 degrees; levelling turns the content counter-clockwise by as much.
    y, x = np.mgrid[0:400, 0:600]
    sky = y < 200 + np.tan(np.radians(4)) * (x - 300)
    tilted = np.where(sky[..., None], 200, 60).astype(np.uint8).repeat(3, axis=2)
    level = cut(tilted, largest_crop(1.5, 4.0, 1.5), 4.0)
    edge = (level[..., 0] > 130).sum(axis=0)
    assert np.ptp(edge) <= 1
    assert np.ptp((cut(tilted, (0, 0, 1, 1))[..., 0] > 130).sum(axis=0)) > 30


def test_finish_crops_then_corrects():
    picture = scene()
    box = (0.2, 0.2, 0.6, 0.6)
    frame = set_frame(
        crop=box, tone=measured(cut(picture, box)), correction=Correction(black=0, mid=4, white=0), level_degrees=0.0
    )
    done = finish(picture, frame, long_side=200)
    assert max(done.shape) == 200
    assert measured(done).mid == pytest.approx(frame.tone.mid + 4, abs=0.6)


PHOTOGRAPHS = Path(__file__).resolve().parents[3] / "shared" / "photos" / "frames"


@pytest.mark.skipif(not PHOTOGRAPHS.is_dir(), reason="photographs for development are not on this machine")
@pytest.mark.parametrize("name", ["0004.jpg", "0070.jpg", "0150.jpg", "0220.jpg", "0300.jpg", "0400.jpg"])
def test_real_photographs_reach_what_the_curve_promises(name):
    with Image.open(PHOTOGRAPHS / name) as file:
        picture = np.asarray(file.convert("RGB").resize((480, 320)))
    grey = near_grey(picture)
    tone = measured(picture, grey)
    correction = Correction(black=2, mid=5, white=-3, cast_a=1.0, cast_b=-2.0)
    got, wanted = measured(correct(picture, tone, correction), grey), reached(tone, correction)
    assert (got.black, got.mid, got.white) == pytest.approx((wanted.black, wanted.mid, wanted.white), abs=0.6)
    assert (got.cast_a, got.cast_b) == pytest.approx((wanted.cast_a, wanted.cast_b), abs=0.6)
