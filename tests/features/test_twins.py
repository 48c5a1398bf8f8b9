"""Twin signatures: unit vectors, and pictures of known kinship."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.domain.twins import SHARES, TWINS
from setsolver.features.clip import clip_of
from setsolver.features.likeness import embed
from setsolver.features.twins import centred, twin_means, twin_signatures


@settings(deadline=None)  # the first example loads the means
@given(st.integers(1, 5), st.integers(0, 99))
def test_signatures_are_unit_vectors_whatever_their_lengths(count, seed):
    random = np.random.default_rng(seed)
    one, two = random.normal(0, 1, (count, 1280)), random.normal(0, 1, (count, 512))
    found = twin_signatures(one, two)
    assert found.shape == (count, 1792)
    assert np.linalg.norm(found, axis=1) == pytest.approx(np.ones(count), abs=1e-4)
    assert twin_signatures(3 * one, 0.1 * two) == pytest.approx(found, abs=1e-4)


def test_a_slightly_other_view_is_a_twin_and_another_picture_is_not(astronaut, models):
    from skimage import data  # noqa: PLC0415 - slow to import

    pictures = [astronaut, np.ascontiguousarray(astronaut[20:480, 30:500]), np.ascontiguousarray(data.coffee())]
    clips = np.stack([clip_of(picture, models.clip).embedding for picture in pictures])
    one, view, other = twin_signatures(embed(pictures, models.embedding), clips)
    assert float(one @ view) > TWINS > float(one @ other)


def test_what_unit_vectors_have_beyond_a_mean_by_hand():
    """(3, 4) is (0.6, 0.8); less (0.6, 0) that is (0, 0.8), of length 1 (0, 1); nothing stays nothing."""
    assert centred(np.array([[3.0, 4.0]]), np.float32([0.6, 0])) == pytest.approx(np.array([[0.0, 1.0]]))
    assert centred(np.array([[0.0, 0.0]]), np.float32([0, 0])) == pytest.approx(np.array([[0.0, 0.0]]))


def test_the_dot_product_is_a_mean_of_both_cosines_by_their_shares():
    random = np.random.default_rng(4)
    one, two = random.uniform(0, 2, (2, 1280)), random.normal(0, 1, (2, 512))
    cosines = []
    for vectors, mean in zip((one, two), twin_means(), strict=True):
        beyond = vectors / np.linalg.norm(vectors, axis=1, keepdims=True) - mean
        cosines.append(beyond[0] @ beyond[1] / np.linalg.norm(beyond[0]) / np.linalg.norm(beyond[1]))
    found = twin_signatures(one, two)
    assert float(found[0] @ found[1]) == pytest.approx(SHARES[0] * cosines[0] + SHARES[1] * cosines[1], abs=1e-5)
