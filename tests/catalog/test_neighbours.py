"""Near pairs against brute force."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.catalog import neighbours
from setsolver.catalog.neighbours import near_pairs


def mixtures(count, dimensions, seed=0, alike=0.2):
    """Return unit vectors with structure: mixtures of a few themes, some of them near copies of others."""
    rng = np.random.default_rng(seed)
    themes = rng.normal(size=(40, dimensions))
    vectors = rng.dirichlet(np.full(40, 0.1), count) @ themes + 0.5 * rng.normal(size=(count, dimensions))
    copies = int(count * alike)
    vectors[:copies] = vectors[copies : 2 * copies] + rng.uniform(0, 0.5, (copies, 1)) * rng.normal(
        size=(copies, dimensions)
    )
    vectors /= np.linalg.norm(vectors, axis=1, keepdims=True)
    return vectors.astype(np.float32)


def brute(vectors, radius):
    exact = vectors.astype(np.float64)
    squares = np.maximum(2 - 2 * (exact @ exact.T), 0)
    first, second = np.nonzero(np.triu(squares <= radius * radius, 1))
    return set(zip(first.tolist(), second.tolist(), strict=True))


def as_set(pairs):
    return set(zip(pairs.first.tolist(), pairs.second.tolist(), strict=True))


@pytest.mark.slow
def test_equal_to_brute_force_on_5000():
    vectors = mixtures(5000, 400)
    found = near_pairs(vectors, 0.6)
    assert as_set(found) == brute(vectors, 0.6)
    assert len(found.first) > 500


@settings(deadline=None, max_examples=30)
@given(st.integers(0, 150), st.integers(1, 40), st.floats(0.05, 2.0), st.integers(0, 5), st.sampled_from([4, 16, 64]))
def test_equal_to_brute_force_whatever_the_blocks(count, dimensions, radius, seed, block):
    vectors = mixtures(count, dimensions, seed) if count else np.zeros((0, dimensions), np.float32)
    before = neighbours._FEW, neighbours._BLOCK, neighbours._AXES
    neighbours._FEW, neighbours._BLOCK, neighbours._AXES = 20, block, 8
    try:
        found = near_pairs(vectors, radius)
    finally:
        neighbours._FEW, neighbours._BLOCK, neighbours._AXES = before
    near_the_limit = brute(vectors, radius + 1e-4) - brute(vectors, radius - 1e-4)
    assert as_set(found) ^ brute(vectors, radius) <= near_the_limit


def test_pairs_are_ordered_and_their_distances_right():
    vectors = mixtures(200, 30)
    found = near_pairs(vectors, 0.7)
    assert (found.first < found.second).all()
    assert list(zip(found.first, found.second, strict=True)) == sorted(zip(found.first, found.second, strict=True))
    exact = np.linalg.norm(vectors[found.first].astype(float) - vectors[found.second], axis=1)
    assert np.abs(exact - found.distance).max() < 1e-5


def test_progress_reaches_the_end():
    told = []
    near_pairs(mixtures(100, 10), 0.1, lambda done, total: told.append((done, total)))
    assert told[-1] == (100, 100)
