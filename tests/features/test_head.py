"""Heads: odds, storage, and what the shipped ones say of a known picture."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.features.head import Head, softmax


def small_head(temperature: float = 1.0) -> Head:
    random = np.random.default_rng(2)
    arrays = [random.uniform(0.1, 1, 5), random.uniform(0.5, 1, 5), random.normal(0, 1, (5, 3)), random.normal(0, 1, 3)]
    return Head(*(array.astype(np.float32) for array in arrays), temperature)


@given(st.lists(st.floats(0, 6), min_size=5, max_size=5))
def test_odds_are_the_logistic_model_by_hand(embedding):
    head = small_head(0.7)
    unit = (np.sqrt(np.float32(embedding)) - head.mean) / head.deviation
    logits = [float(unit @ head.weights[:, k] + head.bias[k]) / 0.7 for k in range(3)]
    expected = np.exp(np.subtract(logits, max(logits)))
    assert head.odds(np.array([embedding]))[0] == pytest.approx(expected / expected.sum(), abs=1e-4)


def test_a_higher_temperature_is_less_sure():
    inputs = np.random.default_rng(0).uniform(0, 2, (20, 5))
    cold, warm = (small_head(t).odds(inputs) for t in (0.5, 2.0))
    assert (cold.argmax(axis=1) == warm.argmax(axis=1)).all()
    assert (cold.max(axis=1) > warm.max(axis=1)).all()


def test_stored_arrays_give_the_same_head_back():
    head, inputs = small_head(1.3), np.ones((1, 5))
    again = Head.of_arrays(head.arrays("some"), "some")
    assert np.abs(again.odds(inputs) - head.odds(inputs)).max() < 1e-6


def test_softmax_bears_large_numbers():
    assert softmax(np.array([[1000.0, 0.0], [-1000.0, -1000.0]])).tolist() == [[1, 0], [0.5, 0.5]]
