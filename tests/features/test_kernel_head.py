"""Kernel heads: the regression by hand, storage, and calibrated odds."""

import numpy as np
import pytest

from setsolver.features.kernel_head import LEAST, KernelHead, odds_of
from setsolver.features.likeness import embed


def small_head(power: float = 2.0) -> KernelHead:
    random = np.random.default_rng(5)
    shapes = [(4,), (4,), (4, 3), (6, 3), (6, 3), (3,)]
    arrays = [random.uniform(0.2, 1, shape).astype(np.float32) for shape in shapes]
    return KernelHead(*arrays, power=np.float32([power]))


def test_odds_are_the_kernel_sum_by_hand():
    head, embedding = small_head(), np.float32([0.3, 1.2, 0.0, 2.0])
    at = ((np.sqrt(embedding) - head.mean) / head.deviation) @ head.axes
    said = head.bias.astype(float)
    for point, weight in zip(head.points, head.weights, strict=True):
        said = said + np.exp(-((at - point) ** 2).sum()) * weight
    expected = said**2 / (said**2).sum()
    assert head.odds(embedding[None])[0] == pytest.approx(expected, abs=1e-5)


def test_outputs_below_nothing_count_as_the_least():
    odds = odds_of(np.array([[1.2, -0.3, -5.0]]), 1.0)[0]
    assert odds == pytest.approx(np.array([1.2, LEAST, LEAST]) / (1.2 + 2 * LEAST))


def test_a_higher_power_is_surer_of_the_same():
    inputs = np.random.default_rng(0).uniform(0, 2, (20, 4))
    mild, strong = (small_head(power).odds(inputs) for power in (1.0, 3.0))
    assert (mild.argmax(axis=1) == strong.argmax(axis=1)).all()
    assert (strong.max(axis=1) > mild.max(axis=1)).all()


def test_stored_arrays_give_the_same_head_back():
    head, inputs = small_head(), np.random.default_rng(1).uniform(0, 2, (5, 4))
    again = KernelHead.of_arrays(head.arrays("some"), "some")
    assert np.abs(again.odds(inputs) - head.odds(inputs)).max() < 5e-3  # axes and points are stored in half precision


def test_the_shipped_heads_tell_a_known_portrait(models, astronaut):
    """The head and shoulders of scikit-image's astronaut are a close or medium picture of a person, never wide."""
    odds = models.scale_alone.odds(embed([astronaut], models.embedding))[0]
    assert odds.sum() == pytest.approx(1)
    assert odds[0] < 0.1
