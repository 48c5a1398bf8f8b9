"""The perceptual hash against imagehash."""

import imagehash
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from setsolver.features.likeness import hamming
from setsolver.features.phash import perceptual_hash


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(16, 300), st.integers(16, 300))
def test_the_hash_is_imagehash_phash_bit_for_bit(seed, width, height):
    rgb = np.random.default_rng(seed).integers(0, 256, (height, width, 3), dtype=np.uint8)
    bits = imagehash.phash(Image.fromarray(rgb)).hash.ravel()
    assert [perceptual_hash(rgb) >> (63 - k) & 1 for k in range(64)] == [int(bit) for bit in bits]


def test_the_hash_of_a_photograph_is_imagehash_phash(astronaut):
    other = np.ascontiguousarray(astronaut[:, ::-1])
    expected = imagehash.phash(Image.fromarray(astronaut)) - imagehash.phash(Image.fromarray(other))
    assert int(hamming(perceptual_hash(astronaut), perceptual_hash(other))) == expected


@pytest.mark.parametrize("code", [0, 7, 255])
def test_a_picture_of_one_tone_has_no_waves(code):
    even = np.full((50, 60, 3), code, np.uint8)
    assert perceptual_hash(even) == int(str(imagehash.phash(Image.fromarray(even))), 16)
