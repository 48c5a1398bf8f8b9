"""Figures: where people are, on pictures that are plain."""

import numpy as np
import pytest

from setsolver.errors import BadInput
from setsolver.features import figures
from setsolver.features.clip import clip_of
from setsolver.features.figures import figure_chances
from setsolver.features.models import weights_of


def test_an_astronaut_is_found_where_she_is(astronaut, models):
    """Her head is in the upper middle of the portrait; a model of a shuttle stands on the right."""
    found = figure_chances(clip_of(astronaut, models.clip).places)
    assert found.shape == (14, 14)
    assert found[1:5, 4:8].mean() > 0.5 * 255
    assert found[1:5, 4:8].mean() > 3 * found[:5, 11:].mean()


def test_a_cup_of_coffee_shows_nobody(models):
    from skimage import data  # noqa: PLC0415 - slow to import

    assert figure_chances(clip_of(np.ascontiguousarray(data.coffee()), models.clip).places).mean() < 0.1 * 255


def test_weights_that_are_missing_are_named(monkeypatch):
    monkeypatch.setattr(figures, "FIGURES_FILE", "nowhere.npz")
    with pytest.raises(BadInput, match=r"nowhere\.npz"):
        figure_chances(np.zeros((14, 14, 768), np.float32))


def test_chances_are_the_logistic_of_each_place_in_255ths(monkeypatch):
    monkeypatch.setattr(figures, "weights_of", lambda _: {"weights": np.float32([2.0, -1.0, 0.5])})
    places = np.zeros((2, 3, 2), np.float32)
    places[0, 1], places[1, 2], places[1, 0] = (1.0, 0.5), (-0.25, 1.0), (200.0, 0.0)
    logits = np.array([[0.5, 2.0, 0.5], [30.0, 0.5, -1.0]])
    assert np.array_equal(figure_chances(places), np.rint(255 / (1 + np.exp(-logits))))
    assert figure_chances(-places)[1, 0] == 0
    assert weights_of(figures.FIGURES_FILE)["weights"].shape == (769,)
