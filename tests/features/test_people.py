"""People: a chance from CLIP's look, on pictures that are plain."""

import numpy as np
import pytest

from setsolver.features import people
from setsolver.features.clip import clip_of
from setsolver.features.people import people_chance


def test_an_astronaut_is_a_person_and_a_cup_of_coffee_is_none(astronaut, models):
    from skimage import data  # noqa: PLC0415 - slow to import

    coffee = np.ascontiguousarray(data.coffee())
    assert people_chance(clip_of(astronaut, models.clip).embedding) > 0.7
    assert people_chance(clip_of(coffee, models.clip).embedding) < 0.3


def test_only_the_direction_counts():
    vector = np.random.default_rng(1).normal(size=512)
    assert people_chance(vector) == pytest.approx(people_chance(7 * vector))
    assert 0 < people_chance(np.zeros(512)) < 1


def test_the_chance_is_the_logistic_of_the_unit_vector(monkeypatch):
    """By hand: (3, 4) is (0.6, 0.8); 0.6 * 2 - 0.8 + 0.1 is 0.5."""
    monkeypatch.setattr(people, "weights_of", lambda _: {"weights": np.array([2.0, -1.0]), "bias": np.array([0.1])})
    assert people_chance(np.array([3.0, 4.0])) == pytest.approx(1 / (1 + np.exp(-0.5)))
