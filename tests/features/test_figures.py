"""Figures: where people are, on pictures that are plain."""

import numpy as np
import pytest

from setsolver.errors import BadInput
from setsolver.features import figures
from setsolver.features.clip import clip_of
from setsolver.features.figures import figure_chances


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
