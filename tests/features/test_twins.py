"""Twin signatures: unit vectors, and pictures of known kinship."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.domain.twins import TWINS
from setsolver.features.clip import clip_of
from setsolver.features.likeness import embed
from setsolver.features.twins import twin_signatures


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
