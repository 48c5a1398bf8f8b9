"""People: a chance from CLIP's look, on pictures that are plain."""

import numpy as np
import pytest

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
