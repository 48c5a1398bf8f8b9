"""Codes never put two vectors farther apart than they are."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from threadpoolctl import threadpool_limits

from setsolver.catalog.short_codes import coded
from tests.catalog.test_neighbours import mixtures


@pytest.fixture(autouse=True, scope="module")
def one_thread():
    """Do as ``near_pairs`` does: threads of the matrix library wait for each other on a busy machine."""
    with threadpool_limits(1, user_api="blas"):
        yield


@settings(deadline=None, max_examples=12)
@given(st.integers(2, 100), st.integers(1, 300), st.integers(0, 5))
def test_both_looks_are_lower_bounds(count, dimensions, seed):
    vectors = mixtures(count, dimensions, seed)
    codes = coded(vectors, 0.8)
    exact = np.linalg.norm(vectors[:, None].astype(float) - vectors[None], axis=2)
    rows = slice(0, count)
    assert (codes.left(rows) @ codes.right(rows) <= (exact + 2 * codes.error) ** 2 + 1e-4).all()
    first, second = np.triu_indices(count, 1)
    for radius in (0.3, 0.8, 1.2):
        near = exact[first, second] <= radius
        assert codes.near(first, second, radius)[near].all()


def test_codes_tell_most_pairs_apart():
    vectors = mixtures(600, 400)
    codes = coded(vectors, 0.8)
    first, second = np.triu_indices(600, 1)
    left_open = codes.near(first, second, 0.8).sum()
    exact = (np.linalg.norm(vectors[first] - vectors[second], axis=1) <= 0.8).sum()
    assert 0 < exact <= left_open < 1.5 * exact
