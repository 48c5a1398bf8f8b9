"""The perceptual hash against imagehash, embeddings against each other across engines."""

import imagehash
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from setsolver.features.likeness import embed, hamming, perceptual_hash
from setsolver.features.models import load_embedding


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


@given(st.integers(0, 2**64 - 1), st.integers(0, 2**64 - 1))
def test_hamming_counts_different_bits(first, second):
    assert int(hamming(first, second)) == (first ^ second).bit_count()


def test_hamming_broadcasts():
    hashes = np.array([0, 1, 2**64 - 1], np.uint64)
    assert hamming(hashes[:, None], hashes[None]).tolist() == [[0, 1, 64], [1, 0, 63], [64, 63, 0]]


def test_engines_agree_and_batches_equal_single_pictures(astronaut, models):
    pytest.importorskip("onnxruntime", reason="the extra 'fast' is not installed")
    pictures = [astronaut, np.ascontiguousarray(astronaut[100:300, 50:400])]
    found = [embed(pictures, load_embedding(engine)).astype(np.float64) for engine in ("opencv", "onnxruntime")]
    for one, two in zip(*found, strict=True):
        assert one @ two / np.linalg.norm(one) / np.linalg.norm(two) == pytest.approx(1, abs=1e-4)
    assert np.abs(embed(pictures[1:], models.embedding) - embed(pictures, models.embedding)[1:]).max() < 0.01
