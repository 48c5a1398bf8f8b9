"""Shot scale: told from both networks, or from one where the other was left for later."""

import numpy as np
import pytest

from setsolver.domain.measures import Clip
from setsolver.features.measure import measure
from setsolver.features.scale import scale_odds
from setsolver.features.scale_head import Landmarks, ScaleHead, roots


def test_with_and_without_clip_a_portrait_is_no_wide_view(astronaut, models):
    found = measure(astronaut, models=models)
    both = scale_odds(found.embedding, found.inner_embedding, found.clip, models.scale)
    alone = scale_odds(found.embedding, found.inner_embedding, None, models.scale)
    assert both == found.odds
    for odds in (both, alone):
        assert sum(odds) == pytest.approx(1)
        assert odds.wide < 0.3
    assert both != alone


def test_the_head_comes_back_from_its_arrays(astronaut, models):
    back = ScaleHead.of_arrays(models.scale.arrays())
    found = measure(astronaut, models=models)
    asked = (found.embedding, found.inner_embedding, found.clip)
    assert scale_odds(*asked, back) == pytest.approx(scale_odds(*asked, models.scale), abs=1e-4)


def landmarks(points, sizes):
    """Landmarks about 0 whose axes are those of their parts."""
    arrays = (np.zeros(sum(sizes)), sizes, np.ones(len(sizes)), np.eye(sum(sizes)), points)
    return Landmarks(*(np.asarray(array, np.float32) for array in arrays))


def test_nearness_is_by_the_squared_distance_of_unit_parts():
    """By hand: the parts (3, 4) and (0, 2) of length 1 are (0.6, 0.8, 0, 1)."""
    near = landmarks([[0.6, 0.8, 0, 1], [0.8, 0.6, 0, 1], [0.6, 0.8, 1, 0]], (2, 2)).nearness(
        [np.array([[3.0, 4.0]]), np.array([[0.0, 2.0]])]
    )
    assert near == pytest.approx(np.exp([[0, -0.08, -2]]), abs=1e-6)


def test_both_kernels_add_up_and_one_has_weights_of_its_own():
    one = landmarks([[1, 1]], (1, 1))
    both = landmarks([[1, 1, 1, 1, 1]], (1, 1, 1, 1, 1))
    weights = [np.array([row], np.float32) for row in ([0.2, 0.1, 0.0], [0.5, 0.0, 0.0], [0.0, 0.0, 0.6])]
    head = ScaleHead(
        one, both, *weights, np.array([[0.1, 0.1, 0.1], [0.2, 0.2, 0.2]], np.float32), np.ones(2, np.float32)
    )
    place = np.array([[4.0]])
    odds = head.odds(place, place, [place] * 3)
    assert odds == pytest.approx(np.array([[0.8, 0.2, 0.1]]) / 1.1, abs=1e-6)
    assert head.odds(place, place, None) == pytest.approx(np.array([[0.2, 0.2, 0.8]]) / 1.2, abs=1e-6)


def test_roots_of_what_cannot_be_are_zero():
    assert np.array_equal(roots(np.array([4.0, -1.0])), [2, 0])


def test_a_frame_without_places_of_its_own_still_has_odds(models):
    nothing = np.zeros(1280, np.float16)
    clip = Clip(np.zeros(512, np.float16), np.zeros(768, np.float16), np.zeros(768, np.float16))
    assert sum(scale_odds(nothing, nothing, clip, models.scale)) == pytest.approx(1)
