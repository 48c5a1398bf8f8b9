"""The head on an embedding's direction, held against scikit-learn's multinomial logistic regression."""

import numpy as np
import pytest
from sklearn.linear_model import LogisticRegression
from sklearn.preprocessing import normalize

from setsolver.features.unit_head import unit_odds

rng = np.random.default_rng(4)
ROWS = rng.normal(size=(90, 6)) + np.repeat(np.eye(6)[:3] * 2, 30, axis=0)
MEAN = ROWS.mean(axis=0)
REFERENCE = LogisticRegression().fit(normalize(ROWS - MEAN), np.repeat(np.arange(3), 30))
HEAD = {"mean": MEAN, "weights": REFERENCE.coef_.T, "bias": REFERENCE.intercept_}


def test_the_odds_are_those_of_the_reference():
    expected = REFERENCE.predict_proba(normalize(ROWS - MEAN))
    assert np.array([unit_odds(HEAD, row) for row in ROWS]) == pytest.approx(expected)


def test_only_the_direction_from_the_mean_counts_and_the_mean_itself_has_none():
    row = ROWS[0]
    assert unit_odds(HEAD, MEAN + 9 * (row - MEAN)) == pytest.approx(unit_odds(HEAD, row))
    raised = np.exp(HEAD["bias"])
    assert unit_odds(HEAD, MEAN) == pytest.approx(raised / raised.sum())
