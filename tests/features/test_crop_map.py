"""Crop maps, on pictures that are plain."""

import numpy as np
import pytest

from setsolver.domain.measures import CROP_MAP_STEPS
from setsolver.errors import BadInput
from setsolver.features import crop_map
from setsolver.features.clip import clip_of
from setsolver.features.crop_map import CROP_MAP_FILE, crop_map_of
from setsolver.features.models import weights_of


def test_a_border_through_her_face_is_worse_than_beside_it(astronaut, models):
    """Her face is in the upper middle of the portrait (columns 5 to 8 of 14); a flag and a shuttle are behind her."""
    held, borders = crop_map_of(clip_of(astronaut, models.clip).places)
    assert held.shape == borders.shape == (14, 14)
    assert borders[1:5, 5:8].mean() < borders[:5, 11:].mean()
    assert held[1:5, 4:8].mean() > held[:5, 11:].mean()


def test_the_middle_of_all_places_is_worth_nothing(models):
    """The maps are told about the mean of the table's places: a crop of that alone is neither wanted nor not."""
    head = weights_of(CROP_MAP_FILE)
    middle = np.linalg.lstsq(head["weights"], -head["bias"], rcond=None)[0]
    assert not crop_map_of(np.broadcast_to(middle, (14, 14, 768)).astype(np.float32)).any()


def test_codes_stay_within_their_byte(models):
    weights = weights_of(CROP_MAP_FILE)["weights"]
    strong = np.broadcast_to(1e3 * weights[0], (14, 14, 768)).astype(np.float32)
    assert crop_map_of(strong)[0].max() == 127
    assert crop_map_of(-strong)[0].min() == -127
    assert len(CROP_MAP_STEPS) == 2


def test_weights_that_are_missing_are_named(monkeypatch):
    monkeypatch.setattr(crop_map, "CROP_MAP_FILE", "nowhere.npz")
    with pytest.raises(BadInput, match=r"nowhere\.npz"):
        crop_map_of(np.zeros((14, 14, 768), np.float32))


def test_maps_are_linear_in_each_place_in_their_steps(monkeypatch):
    """By hand: of (1, 2) weights (0.01, 0.02) and 0.003 make 0.053, in thousandths 53; the others in 500ths -10."""
    head = {"weights": np.float32([[0.01, 0.02], [-0.01, -0.002]]), "bias": np.float32([0.003, -0.006])}
    monkeypatch.setattr(crop_map, "weights_of", lambda _: head)
    places = np.zeros((2, 3, 2), np.float32)
    places[0, 2] = 1, 2
    held, borders = crop_map_of(places)
    assert held.tolist() == [[3, 3, 53], [3, 3, 3]]
    assert borders.tolist() == [[-3, -3, -10], [-3, -3, -3]]
