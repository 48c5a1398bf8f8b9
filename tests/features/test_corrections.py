"""Corrections win at once, move their likes and leave the others."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.errors import BadInput
from setsolver.features.corrections import refit


def catalog(seed: int = 0) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Two kinds of 40 frames each, of which all are measured as rather medium."""
    random = np.random.default_rng(seed)
    kinds = np.abs(random.normal(0, 1, (2, 1280)))
    embeddings = np.repeat(kinds, 40, axis=0) + 0.3 * np.abs(random.normal(0, 1, (80, 1280)))
    return np.tile([0.3, 0.5, 0.2], (80, 1)), embeddings.astype(np.float16), np.full(80, -1)


def test_without_corrections_nothing_moves():
    odds, embeddings, said = catalog()
    assert (refit(odds, embeddings, said) == odds).all()


def test_a_correction_wins_and_its_likes_follow_more_than_the_others():
    odds, embeddings, said = catalog()
    said[:6] = 2
    found = refit(odds, embeddings, said)
    assert found[:6].tolist() == [[0, 0, 1]] * 6
    assert found[6:40].argmax(axis=1).tolist() == [2] * 34
    assert found[40:, 2].max() < found[6:40, 2].min()


def test_a_heavier_correction_moves_more():
    odds, embeddings, said = catalog()
    said[0] = 0
    light, heavy = (refit(odds, embeddings, said, weight=weight)[1, 0] for weight in (0.5, 4.0))
    assert 0.3 < light < heavy


@settings(max_examples=20, deadline=None)
@given(st.lists(st.integers(-1, 2), min_size=80, max_size=80))
def test_odds_stay_odds(words):
    odds, embeddings, _ = catalog()
    found = refit(odds, embeddings, np.array(words))
    assert found.sum(axis=1) == pytest.approx(1)
    assert found.min() >= 0


def test_what_does_not_fit_together_is_refused():
    odds, embeddings, said = catalog()
    with pytest.raises(BadInput, match="shapes"):
        refit(odds, embeddings[:, :10], said)
    with pytest.raises(BadInput, match="not -1 or 5"):
        refit(odds, embeddings, np.where(np.arange(80) == 3, 5, said))
