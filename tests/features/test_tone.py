"""Tone of pictures whose tones are known, and of known edits."""

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.colour.lab import (
    LUMINANCE,
    lab_to_srgb,
    linear_to_lab,
    linear_to_srgb,
    luminance_of_lightness,
    srgb_to_lab,
    srgb_to_linear,
)
from setsolver.domain.geometry import WHOLE, Box
from setsolver.features import tone as module
from setsolver.features.tone import measure_tone
from setsolver.features.views import make_views
from tests.crops.plain import tone_from_tiles


def scene(seed: int = 3, size: tuple[int, int] = (400, 600)) -> np.ndarray:
    """Linear light of soft grey and coloured patches, well inside the scale; float32[H, W, 3]."""
    random = np.random.default_rng(seed)
    lightness = random.uniform(15, 70, (10, 15))
    colour = random.normal(0, 4, (10, 15, 2))
    lab = np.dstack([lightness, colour]).repeat(size[0] // 10, axis=0).repeat(size[1] // 15, axis=1)
    return srgb_to_linear(lab_to_srgb(lab))


def tone_of(linear: np.ndarray):
    return measure_tone(make_views(linear_to_srgb(linear)))[0]


def test_a_grey_ramp_has_the_percentiles_of_its_lightness():
    lab = np.zeros((300, 600, 3))
    lab[..., 0] = np.linspace(5, 95, 600)
    tone, _ = measure_tone(make_views(lab_to_srgb(lab)))
    assert (tone.black, tone.mid, tone.white) == pytest.approx((6.8, 50, 94.1), abs=0.6)
    assert tone.contrast == pytest.approx(45, abs=0.8)
    assert (tone.cast_a, tone.cast_b, tone.colourfulness) == pytest.approx((0, 0, 0), abs=0.3)
    assert tone.neutral_share == pytest.approx(0.97, abs=0.05)


@pytest.mark.parametrize("shift", [-1.0, -0.5, 0.3, 0.8])
def test_a_known_exposure_shift_is_recovered_to_a_tenth_of_a_stop(shift):
    before, after = tone_of(scene()), tone_of(scene() * 2**shift)
    light = [luminance_of_lightness((tone.black, tone.mid, tone.white)) for tone in (before, after)]
    assert np.log2(light[1] / light[0]) == pytest.approx([shift] * 3, abs=0.1)


@settings(max_examples=20, deadline=None)
@given(st.floats(-10, 10), st.floats(-10, 10))
def test_a_cast_over_greys_is_recovered(a, b):
    lab = np.dstack([np.linspace(25, 75, 300)[None].repeat(200, 0), np.full((200, 300), a), np.full((200, 300), b)])
    tone, _ = measure_tone(make_views(lab_to_srgb(lab)))
    assert (tone.cast_a, tone.cast_b) == pytest.approx((a, b), abs=0.4)


GAINS = {"warm": (1.13, 1.0, 0.83), "cool": (0.9, 1.0, 1.18), "very warm": (1.25, 1.0, 0.68)}
"""Gains of R, G, B in linear light, as a raw developer's white balance applies them; about 0.2 to 0.6 EV of blue."""


@pytest.mark.parametrize("name", GAINS)
@pytest.mark.parametrize("seed", range(3))
def test_a_white_balance_shift_in_linear_light_is_recovered_among_colours(name, seed):
    linear = scene(seed) * 0.7
    linear[:, 450:] *= (0.9, 0.5, 0.2)  # a warm object over a quarter of the frame
    gains = np.array(GAINS[name]) / (LUMINANCE @ np.array(GAINS[name]))
    before, after = tone_of(linear), tone_of(linear * gains)
    greys = linear[:, :450]
    moved = (linear_to_lab((greys * gains).astype(np.float32)) - linear_to_lab(greys)).reshape(-1, 3).mean(axis=0)
    found = np.array([after.cast_a - before.cast_a, after.cast_b - before.cast_b])
    assert np.hypot(*(found - moved[1:])) < 0.2 * np.hypot(*moved[1:]) + 0.5


def test_a_frame_of_one_strong_colour_has_no_greys_and_no_cast():
    rgb = np.zeros((200, 300, 3), np.uint8)
    rgb[..., 0] = np.linspace(150, 255, 300)
    tone, _ = measure_tone(make_views(rgb))
    assert (tone.cast_a, tone.cast_b, tone.neutral_share) == (0, 0, 0)


def test_no_falloff_is_stated_where_the_corners_are_black():
    linear = scene()
    linear[:80] = linear[-80:] = 0
    assert tone_of(linear).vignette == 0


@pytest.mark.parametrize("quality", [50, 75, 92])
def test_tone_is_stable_under_jpeg_and_half_the_size(quality):
    rgb = linear_to_srgb(cv2.GaussianBlur(scene(size=(800, 1200)), (0, 0), 4))
    poor = cv2.imdecode(cv2.imencode(".jpg", rgb, [cv2.IMWRITE_JPEG_QUALITY, quality])[1], cv2.IMREAD_COLOR)
    half = cv2.resize(rgb, (600, 400), interpolation=cv2.INTER_AREA)
    plain = measure_tone(make_views(rgb))[0]
    for other in (poor, half):
        found = measure_tone(make_views(np.ascontiguousarray(other)))[0]
        assert (found.black, found.mid, found.white) == pytest.approx((plain.black, plain.mid, plain.white), abs=0.7)
        assert (found.cast_a, found.cast_b) == pytest.approx((plain.cast_a, plain.cast_b), abs=0.5)


def test_saturated_colour_is_no_cast():
    lab = np.zeros((200, 300, 3))
    lab[..., 0] = 50
    lab[:, 150:, 1] = 60
    tone, _ = measure_tone(make_views(lab_to_srgb(lab)))
    assert (tone.cast_a, tone.cast_b) == pytest.approx((0, 0), abs=0.5)
    assert tone.neutral_share == pytest.approx(0.5, abs=0.02)


def test_clipped_shares_count_all_channels_only():
    rgb = np.full((100, 200, 3), 128, np.uint8)
    rgb[:10] = 255
    rgb[10:30] = 0
    rgb[30:60] = (255, 0, 0)
    tone, _ = measure_tone(make_views(rgb))
    assert (tone.clipped_high, tone.clipped_low) == pytest.approx((0.1, 0.2))


@pytest.mark.parametrize("stops", [-1.2, -0.4, 0.5])
@pytest.mark.parametrize(("height", "width"), [(400, 600), (200, 900), (900, 210)])
def test_an_added_falloff_shows_in_full(stops, height, width):
    y, x = np.meshgrid(np.linspace(-1, 1, height), np.linspace(-1, 1, width), indexing="ij")
    square = ((x * width) ** 2 + (y * height) ** 2) / (width**2 + height**2)
    plain = scene(size=(height, width))
    before = tone_of(plain).vignette
    after = tone_of(plain * 2 ** (stops * square)[..., None]).vignette
    assert after - before == pytest.approx(stops, abs=0.1)


def test_colourfulness_follows_the_published_formula():
    rgb = np.random.default_rng(1).integers(0, 256, (64, 64, 3), dtype=np.uint8)
    red, green, blue = rgb.astype(float).transpose(2, 0, 1)
    rg, yb = red - green, (red + green) / 2 - blue  # Hasler, Suesstrunk 2003, equations 1 to 4
    expected = np.hypot(rg.std(), yb.std()) + 0.3 * np.hypot(rg.mean(), yb.mean())
    assert measure_tone(make_views(rgb))[0].colourfulness == pytest.approx(expected, rel=1e-4)


def test_the_whole_of_the_tiles_is_the_tone_of_the_frame():
    tone, tiles = measure_tone(make_views(linear_to_srgb(scene())))
    assert tone_from_tiles(tiles, WHOLE) == pytest.approx((tone.black, tone.mid, tone.white, tone.cast_a, tone.cast_b))
    assert tiles.lightness.sum(axis=2, dtype=float) == pytest.approx(10_000, abs=50)


def test_a_crop_from_tiles_has_the_tone_of_its_pixels():
    rgb = linear_to_srgb(scene())
    _, tiles = measure_tone(make_views(rgb))
    crop = Box(1 / 6, 1 / 3, 0.5, 0.5)
    lightness = srgb_to_lab(rgb)[..., 0][round(400 / 3) : round(400 * 5 / 6), 100:400]
    assert tone_from_tiles(tiles, crop)[:3] == pytest.approx(np.percentile(lightness, (2, 50, 99)), abs=2.0)


@pytest.mark.parametrize("code", [0, 128, 255])
def test_a_flat_picture_has_a_tone(code):
    tone, _ = measure_tone(make_views(np.full((32, 48, 3), code, np.uint8)))
    assert all(np.isfinite(tone))
    assert tone.black <= tone.mid <= tone.white


@pytest.mark.parametrize("seed", range(3))
def test_what_two_frames_under_one_warm_lamp_differ_by_is_followed(seed):
    lamp, warmer = scene(seed) * (1.4, 0.5, 0.05), scene(seed) * (1.4 * 1.05, 0.5, 0.05 * 0.8)
    before, after = tone_of(lamp), tone_of(warmer)
    greys = (linear_to_lab(light.astype(np.float32)).reshape(-1, 3).mean(axis=0)[1:] for light in (warmer, lamp))
    moved = np.subtract(*greys)
    assert np.hypot(before.cast_a, before.cast_b) > 39
    found = np.array([after.cast_a - before.cast_a, after.cast_b - before.cast_b])
    assert np.hypot(*(found - moved)) < 0.2 * np.hypot(*moved)  # half is lost where a cast is followed to 40 only


@pytest.mark.parametrize(("height", "width"), [(400, 600), (600, 390)])
def test_a_falloff_along_one_side_counts_by_the_shape_of_the_frame(height, width):
    # y^2 fitted by r^2 = (a^2 x^2 + y^2) / (1 + a^2) gives (1 + a^2) / (1 + a^4): as far as it is one of the corners'
    aspect = width / height
    y = np.linspace(-1, 1, height)[:, None, None]
    plain = scene(size=(height, width))
    found = tone_of(plain * 2 ** (-0.8 * y**2)).vignette - tone_of(plain).vignette
    assert found == pytest.approx(-0.8 * (1 + aspect**2) / (1 + aspect**4), abs=0.05)


@pytest.mark.parametrize("beyond", [(255, 253, 240), (9, 5, 2)], ids=["burnt out", "sunk in black"])
def test_what_is_burnt_or_sunk_says_nothing_of_a_cast(beyond):
    """Their L* lie above 97 and below 8, where 8-bit codes no longer tell a colour; greys beside them are true."""
    lightness = srgb_to_lab(np.uint8([[beyond]]))[0, 0]
    assert not 8 < lightness[0] < 97
    assert abs(lightness[2]) > 1
    picture = np.full((240, 360, 3), 128, np.uint8)
    picture[:, 120:] = beyond
    tone, _ = measure_tone(make_views(picture))
    assert (tone.cast_a, tone.cast_b) == pytest.approx((0, 0), abs=0.2)
    assert tone.neutral_share == pytest.approx(1 / 3, abs=0.02)


def patchwork(seed: int, height: int, width: int) -> np.ndarray:
    """L*a*b* of greys under a cast and of colours, some burnt and some black; float32[H, W, 3]."""
    random = np.random.default_rng(seed)
    lab = np.dstack([random.uniform(0, 100, (height, width)), random.normal(9, 8, (height, width)),
                     random.normal(14, 8, (height, width))])  # fmt: skip
    coloured = random.random((height, width)) < 0.3
    lab[coloured, 1:] += random.normal(0, 50, (coloured.sum(), 2))
    return lab.astype(np.float32)


def near_neutral(lab: np.ndarray) -> np.ndarray:
    """Return the weight of each pixel by mean shift, in double precision; float64[H, W].

    A Gaussian of 19 in chroma that is nothing below a hundredth, about a centre no farther than 60 from grey, after at
    most eight steps or one shorter than a twentieth; of L* above 8 and below 97; of every third column.
    """
    lightness, a, b = lab.astype(np.float64).transpose(2, 0, 1)
    told = (lightness > 8) & (lightness < 97)

    def weigh(some, centre):
        weight = np.exp(-((a[some] - centre[0]) ** 2 + (b[some] - centre[1]) ** 2) / (2 * 19**2))
        return np.where(weight > 0.01, weight, 0)

    third, centre = told & (np.arange(lab.shape[1]) % 3 == 0), np.zeros(2)
    for _ in range(8):
        weight = weigh(third, centre)
        if weight.sum() <= 0:
            break
        moved = np.array([weight @ a[third], weight @ b[third]]) / weight.sum()
        moved *= min(1, 60 / max(np.hypot(*moved), 1e-9))
        still = np.hypot(*(moved - centre)) < 0.05
        centre = moved
        if still:
            break
    every = np.zeros(lightness.shape)
    every[told] = weigh(told, centre)
    return every


@pytest.mark.parametrize("seed", range(4))
def test_tiles_are_what_plain_loops_count(seed):
    lab = patchwork(seed, 66, 90)
    tiles, weight = module._tiles(lab), near_neutral(lab)
    for row in range(6):
        for column in range(6):
            part = np.s_[row * 11 : row * 11 + 11, column * 15 : column * 15 + 15]
            counts = np.histogram(lab[part][..., 0], bins=np.arange(101))[0]
            assert np.array_equal(tiles.lightness[row, column], np.rint(counts * 10_000 / 165))
            means = [(weight[part] * lab[part][..., channel]).mean() for channel in (1, 2)]
            assert tiles.neutral[row, column] == pytest.approx([*means, weight[part].mean()], abs=2e-2)


@pytest.mark.parametrize("shift", [(90.0, 0.0), (0.0, -75.0), (52.0, 52.0)])
def test_a_cast_is_followed_to_sixty_and_no_farther(shift):
    lab = patchwork(1, 60, 90)
    lab[..., 0] = 50
    lab[..., 1:] = np.random.default_rng(0).normal(0, 3, (60, 90, 2)) + np.array(shift) * np.linspace(0, 1, 90)[:, None]
    assert module._neutral_weight(*map(np.ascontiguousarray, lab.transpose(2, 0, 1))) == pytest.approx(
        near_neutral(lab), abs=2e-3
    )


def test_white_is_in_the_last_bin_and_uneven_sizes_are_tiled_as_pixels_fall():
    lab = np.zeros((7, 13, 3), np.float32)
    lab[..., 0] = 100
    lightness = module._tiles(lab).lightness
    assert (lightness[..., 99] == 10_000).all()
    assert lightness.sum() == 36 * 10_000
    numbers = module._first_bins(7, 13)
    assert numbers.tolist() == [[(r * 6 // 7 * 6 + c * 6 // 13) * 100 for c in range(13)] for r in range(7)]


def test_of_large_pictures_every_second_row_is_read():
    for rows, black in ((198, 50), (200, 100)):
        stripes = np.zeros((rows, 240, 3), np.uint8)
        stripes[1::2] = 255
        tone, tiles = measure_tone(make_views(stripes))
        assert tiles.lightness[..., 0].mean() / 100 == pytest.approx(black, abs=3)
        assert tone.clipped_low == pytest.approx(0.5)


@pytest.mark.parametrize(("code", "low", "high"), [(2, 1, 0), (3, 0, 0), (252, 0, 0), (253, 0, 1)])
def test_two_codes_from_either_end_are_clipped(code, low, high):
    tone, _ = measure_tone(make_views(np.full((40, 60, 3), code, np.uint8)))
    assert (tone.clipped_low, tone.clipped_high) == (low, high)


def test_mirrored_and_turned_pictures_have_the_same_tone():
    rgb = linear_to_srgb(scene(size=(150, 180)) * np.linspace(0.6, 1, 180)[:, None])
    tone, tiles = measure_tone(make_views(rgb))
    for turn in (lambda one: one[:, ::-1], lambda one: one[::-1], lambda one: one.transpose(1, 0, 2)):
        other, others = measure_tone(make_views(np.ascontiguousarray(turn(rgb))))
        assert tuple(other) == pytest.approx(tuple(tone), abs=0.05)
        assert np.abs(others.lightness.astype(int) - turn(tiles.lightness).astype(int)).max() <= 60
        assert others.neutral == pytest.approx(turn(tiles.neutral), abs=0.1)
