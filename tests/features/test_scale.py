"""Shot scale: told from both networks, or from one where the other was left for later."""

from dataclasses import replace

import numpy as np
import pytest

from setsolver.domain.geometry import Box
from setsolver.domain.measures import Clip, Subject
from setsolver.features.measure import measure
from setsolver.features.scale import inner_box, scale_odds
from setsolver.features.scale_head import Landmarks, ScaleHead, roots
from setsolver.features.sight import FEATURES, Sight


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


@pytest.mark.parametrize(
    ("box", "corner"),
    [
        (Box(0.4, 0.5, 0.2, 0.1), (0.25, 0.3)),
        (Box(0.0, 0.0, 0.1, 0.1), (0.0, 0.0)),
        (Box(0.9, 0.9, 0.1, 0.1), (0.5, 0.5)),
        (Box(0.7, 0.1, 0.04, 0.4), (0.47, 0.05)),
    ],
)
def test_the_inner_view_is_half_the_frame_about_the_subject_and_inside(box, corner):
    found = inner_box(Subject(box, 0.5, np.zeros((16, 16), np.float32)))
    assert found == pytest.approx(Box(*corner, 0.5, 0.5))


@pytest.mark.parametrize(("close", "inner_is_looked_at"), [(0.9499, True), (0.95, False)])
def test_only_what_is_surely_close_spares_its_inner_view_a_judgement(close, inner_is_looked_at, models):
    asked = []

    class Head:
        def odds(self, embeddings):
            asked.append(float(embeddings[0, 0]))
            return np.array([[0.0, 1 - close, close]] if embeddings[0, 0] == 1 else [[0.5, 0.3, 0.2]])

    sight = Sight(None, replace(models, scale_alone=Head()), {"embedding": np.ones(3), "inner_embedding": np.zeros(3)})
    found = FEATURES["inner_odds"](sight)
    assert found == ((0.5, 0.3, 0.2) if inner_is_looked_at else (0.0, pytest.approx(1 - close), close))
    assert asked == ([1.0, 0.0] if inner_is_looked_at else [1.0])


def test_parts_are_turned_and_weighed_by_their_shares():
    """By hand: (4, 5) about (1, 1) is (0.6, 0.8), times the root of 4; (2,) about 0 is 1, times the root of 9."""
    arrays = {"means": [1, 1, 0], "sizes": [2, 1], "shares": [4, 9], "axes": np.eye(3), "points": [[1.2, 1.6, 2.0]]}
    one = Landmarks.of_arrays({f"own.{name}": np.asarray(value, float) for name, value in arrays.items()}, "own")
    parts = [np.array([[4.0, 5.0]]), np.array([[2.0]])]
    assert one.rows(parts) == pytest.approx(np.array([[1.2, 1.6, 3.0]]))
    assert one.nearness(parts) == pytest.approx(np.array([[np.exp(-1)]]), abs=1e-6)
    assert {name: array.dtype for name, array in one.arrays("own").items()} == {
        "own.means": np.float32, "own.sizes": np.float32, "own.shares": np.float32, "own.axes": np.float16,
        "own.points": np.float16}  # fmt: skip


def test_each_way_of_telling_has_its_own_power():
    one, both = landmarks([[1, 1]], (1, 1)), landmarks([[1, 1, 1, 1, 1]], (1, 1, 1, 1, 1))
    weights = [np.array([row], np.float32) for row in ([0.2, 0.1, 0.0], [0.5, 0.0, 0.0], [0.0, 0.0, 0.6])]
    bias = np.array([[0.1, 0.1, 0.1], [0.2, 0.2, 0.2]], np.float32)
    head, place = ScaleHead(one, both, *weights, bias, np.array([2.0, 3.0], np.float32)), np.array([[4.0]])
    for odds, said in ((head.odds(place, place, [place] * 3), np.array([0.8, 0.2, 0.1]) ** 2),
                       (head.odds(place, place, None), np.array([0.2, 0.2, 0.8]) ** 3)):  # fmt: skip
        assert odds[0] == pytest.approx(said / said.sum(), abs=1e-6)
