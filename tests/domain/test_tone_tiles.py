"""Tone of crops from tiles, against percentiles of the pixels themselves."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.geometry import WHOLE, Box
from setsolver.domain.measures import LIGHTNESS_BINS, TONE_GRID, ToneTiles
from setsolver.domain.tone_tiles import cast_of_crop, lightness_at
from tests.crops.plain import tone_from_tiles


def tiles_of(lightness: np.ndarray, cast: tuple[float, float] = (0.0, 0.0), weight: float = 1.0) -> ToneTiles:
    """Tiles of a float L* picture whose sides are multiples of 6."""
    rows, columns = TONE_GRID
    histogram = np.zeros((rows, columns, LIGHTNESS_BINS), np.uint16)
    for row, band in enumerate(np.split(lightness, rows, axis=0)):
        for column, tile in enumerate(np.split(band, columns, axis=1)):
            counts = np.histogram(tile, bins=LIGHTNESS_BINS, range=(0, 100))[0]
            histogram[row, column] = np.rint(counts / tile.size * 10_000)
    neutral = np.empty((rows, columns, 3), np.float32)
    neutral[...] = (cast[0] * weight, cast[1] * weight, weight)
    return ToneTiles(histogram, neutral)


@given(st.integers(0, 2**32 - 1), st.floats(5, 95), st.floats(0.5, 30))
def test_percentiles_agree_with_numpy_to_a_bin(seed, centre, spread):
    values = np.clip(np.random.default_rng(seed).normal(centre, spread, 5_000), 0, 100)
    histogram = np.histogram(values, bins=LIGHTNESS_BINS, range=(0, 100))[0]
    found = lightness_at(histogram, (2, 25, 50, 75, 99))
    assert np.abs(np.subtract(found, np.percentile(values, (2, 25, 50, 75, 99)))).max() <= 1.01


@pytest.mark.parametrize("bins", range(1, 257))
def test_white_is_exactly_white_whatever_the_number_of_bins(bins):
    histogram = np.zeros(bins)
    histogram[-1] = 1.0
    assert lightness_at(histogram, (100.0,)) == (100.0,)


def test_even_tones_give_exact_percentiles():
    assert lightness_at(np.ones(LIGHTNESS_BINS), (0, 2, 50, 99, 100)) == pytest.approx((0, 2, 50, 99, 100))


def test_one_tone_stays_in_its_bin():
    histogram = np.zeros(LIGHTNESS_BINS)
    histogram[41] = 7
    assert all(41 <= value <= 42 for value in lightness_at(histogram, (0, 2, 50, 99, 100)))


@given(st.lists(st.floats(0, 1e4), min_size=1, max_size=120).filter(lambda h: sum(h) > 0), st.floats(0, 100))
def test_percentiles_never_fall_and_never_leave_the_scale(histogram, percent):
    low, high = lightness_at(np.array(histogram), (percent / 2, percent))
    assert 0 <= low <= high <= 100


def test_no_weight_is_refused():
    with pytest.raises(ValueError, match="needs weight"):
        lightness_at(np.zeros(LIGHTNESS_BINS), (50,))


@pytest.mark.parametrize("crop", [WHOLE, Box(0, 0, 0.5, 1), Box(1 / 6, 1 / 3, 0.5, 0.5)])
def test_crop_on_tile_borders_equals_the_pixels_inside(crop):
    picture = np.random.default_rng(1).normal(50, 15, (120, 180)).clip(0, 100)
    picture *= np.linspace(0.3, 1, 180)
    inside = picture[round(crop.y * 120) : round(crop.bottom * 120), round(crop.x * 180) : round(crop.right * 180)]
    found = tone_from_tiles(tiles_of(picture), crop)
    assert found[:3] == pytest.approx(np.percentile(inside, (2, 50, 99)), abs=0.5)


def test_part_of_a_tile_counts_by_its_area():
    picture = np.full((60, 60), 20.5)
    picture[:, 30:] = 80.5
    half_and_half = tone_from_tiles(tiles_of(picture), Box(0.4, 0, 0.2, 1))
    assert half_and_half[0] == pytest.approx(20, abs=1)
    assert half_and_half[2] == pytest.approx(81, abs=1)


def test_cast_is_the_mean_of_neutrals_and_zero_without_them():
    picture = np.full((60, 60), 50.0)
    assert cast_of_crop(tiles_of(picture, (2.0, -5.0), 0.4), Box(0, 0, 0.3, 0.3)) == pytest.approx((2, -5, 0.4))
    assert cast_of_crop(tiles_of(picture, (2.0, -5.0), 0.0), WHOLE) == (0, 0, 0)


def test_a_crop_off_the_frame_is_refused():
    with pytest.raises(ValueError, match="covers no part"):
        tone_from_tiles(tiles_of(np.full((60, 60), 50.0)), Box(1.2, 0, 0.3, 1))


def test_where_sums_round_the_last_bin_that_holds_anything_ends_it():
    # a running sum may end below the sum of all (pairwise in NumPy): bins of nothing above must not be reached
    counts = (n for n in range(10, 2000) if np.cumsum(np.full(n, 0.1))[-1] < np.full(n, 0.1).sum())
    n = next(counts)
    (white,) = lightness_at(np.concatenate([np.zeros(5), np.full(n, 0.1), np.zeros(20)]), (100.0,))
    assert white == pytest.approx(100 * (n + 5) / (n + 25))
    (black,) = lightness_at(np.concatenate([np.zeros(5), np.full(n, 0.1), np.zeros(20)]), (0.0,))
    assert black == pytest.approx(100 * 5 / (n + 25))
