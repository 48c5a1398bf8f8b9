"""Corrections win at once, move their likes and leave the others."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize
from scipy.special import log_softmax, softmax

from setsolver.errors import BadInput
from setsolver.features.corrections import places_of, refit, refit_at


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


@pytest.mark.parametrize("weight", [1.0, 3.0])
def test_words_move_odds_to_where_the_penalised_likelihood_is_largest(weight):
    """The same, asked of every weight and not of one for each correction: SciPy's minimum over [places, scales]."""
    random = np.random.default_rng(8)
    odds, places = random.dirichlet([2, 2, 2], 12), random.normal(0, 1, (12, 3)).astype(np.float32)
    odds[5] = 0, 0.4, 0.6
    said = np.full(12, -1)
    said[[0, 3, 5, 7]] = 2, 0, 0, 1
    known, prior = said >= 0, np.log(np.maximum(odds, 1e-3))

    def loss(flat):
        guess = log_softmax(prior[known] + places[known] @ flat.reshape(3, 3), axis=1)
        return 0.15 * (flat**2).sum() - weight * guess[np.arange(4), said[known]].sum()

    shift = minimize(loss, np.zeros(9), tol=1e-10).x.reshape(3, 3)
    expected = softmax(prior + places @ shift, axis=1)
    expected[known] = np.eye(3)[said[known]]
    assert refit_at(odds, places, said, weight=weight) == pytest.approx(expected, abs=2e-3)


def test_places_are_unit_vectors_of_roots_about_their_mean_beside_a_constant():
    found = places_of(np.array([[0.04, 0.09, -1.0], [0.16, 0.01, 0.0]]))
    assert found == pytest.approx(np.array([[-1, 1, 0, 0.3 * 2**0.5], [1, -1, 0, 0.3 * 2**0.5]]) / 2**0.5, abs=1e-6)
    assert places_of(np.ones((3, 4)))[:, :4] == pytest.approx(0)  # nothing to tell them apart, and no division by it


def test_a_scale_that_is_none_is_refused_and_the_last_one_is_not():
    odds, embeddings, said = catalog()
    for wrong in (-2, 3):
        with pytest.raises(BadInput, match=str(wrong)):
            refit(odds, embeddings, np.where(np.arange(80) == 3, wrong, said))
    assert refit(odds, embeddings, np.where(np.arange(80) == 3, 2, said))[3].tolist() == [0, 0, 1]
    assert refit(odds[:0], embeddings[:0], said[:0]).shape == (0, 3)


def test_where_nothing_was_said_the_very_odds_come_back():
    odds, _, said = catalog()
    odds[0] = 0.0, 0.4, 0.6  # what is less likely than a thousandth would else count as that
    assert refit_at(odds, np.ones((80, 3), np.float32), said) is odds
