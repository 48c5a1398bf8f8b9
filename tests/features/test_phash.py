"""The perceptual hash against the discrete cosine transform written out, and under edits that nobody sees."""

import cv2
import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from skimage import data

from setsolver.features.likeness import hamming
from setsolver.features.phash import perceptual_hash

# The transform of type II: Ahmed, Natarajan, Rao, "Discrete cosine transform", IEEE Transactions on Computers C-23,
# 1974, without its factors; the hash as imagehash 4.3 documents it: 32 x 32 greys, 8 x 8 frequencies, their median.
PLACES = np.arange(32) + 0.5
WAVES = np.cos(np.pi / 32 * np.arange(8)[:, None] * PLACES)


def grey(codes: np.ndarray) -> np.ndarray:
    return np.repeat(np.asarray(codes, np.uint8)[..., None], 3, axis=2)


def bits(code: int) -> np.ndarray:
    """Bits of a hash as the rows of a grid, the most significant first; bool[8, 8]."""
    return np.array([code >> (63 - k) & 1 for k in range(64)], bool).reshape(8, 8)


@settings(deadline=None)  # the first picture waits for SciPy to load
@given(st.integers(0, 2**32 - 1), st.integers(1, 127))
def test_bits_tell_which_low_frequencies_are_above_their_median(seed, contrast):
    codes = np.random.default_rng(seed).integers(128 - contrast, 128 + contrast, (32, 32), endpoint=True)
    low = WAVES @ codes @ WAVES.T
    assume(np.abs(low - np.median(low)).min() > 1e-6)  # else rounding decides
    assert (bits(perceptual_hash(grey(codes))) == (low > np.median(low))).all()


@settings(deadline=None)
@given(st.integers(0, 7), st.integers(0, 7), st.sampled_from([-1, 1]), st.integers(1, 8))
def test_a_wave_sets_the_bit_of_its_frequency_whatever_the_size(row, column, sign, times):
    assume((row, column) != (0, 0))
    codes = np.round(128 + 100 * sign * np.outer(WAVES[row], WAVES[column]))
    assert bits(perceptual_hash(grey(np.kron(codes, np.ones((times, times))))))[row, column] == (sign > 0)


@settings(deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(16, 300), st.integers(16, 300))
def test_half_of_all_frequencies_are_above_the_median_of_grain(seed, width, height):
    rgb = np.random.default_rng(seed).integers(0, 256, (height, width, 3), dtype=np.uint8)
    assert perceptual_hash(rgb).bit_count() == 32


@pytest.mark.parametrize(("code", "expected"), [(0, 0), (1, 1 << 63), (7, 1 << 63), (255, 1 << 63)])
def test_a_picture_of_one_tone_has_no_wave_but_its_mean(code, expected):
    assert perceptual_hash(np.full((50, 60, 3), code, np.uint8)) == expected


# Up to 5 bits a variation, more than 10 another picture: the article that imagehash names as its source (N. Krawetz,
# "Looks like it", hackerfactor.com, 2011), from memory.
@pytest.mark.parametrize("name", ["astronaut", "chelsea", "coffee"])
def test_smaller_and_recompressed_copies_are_variations(name):
    rgb = np.ascontiguousarray(getattr(data, name)())
    code = perceptual_hash(rgb)
    jpeg = cv2.imencode(".jpg", rgb, [cv2.IMWRITE_JPEG_QUALITY, 50])[1]
    copies = [cv2.resize(rgb, None, fx=part, fy=part, interpolation=cv2.INTER_AREA) for part in (0.7, 0.5, 0.3)]
    for copy in [*copies, cv2.imdecode(jpeg, cv2.IMREAD_COLOR)]:
        assert hamming(code, perceptual_hash(copy)) <= 5


def test_photographs_and_their_mirror_images_are_others():
    whole = [np.ascontiguousarray(picture()) for picture in (data.astronaut, data.chelsea, data.coffee)]
    codes = [perceptual_hash(rgb) for one in whole for rgb in (one, np.ascontiguousarray(one[:, ::-1]))]
    for k, code in enumerate(codes):
        assert all(hamming(code, other) > 10 for other in codes[:k])
