"""Uprightness: what the looks say, put together, and a known picture in its four turns."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.measures import Upright
from setsolver.features.clip import seen_by_clip
from setsolver.features.models import ClipSeen
from setsolver.features.sight import FEATURES, Sight
from setsolver.features.upright import TURNS, Regression, UprightHead, halves, judged, together


def test_halves_are_the_mean_and_what_the_halves_differ_in():
    places = np.zeros((14, 14, 768), np.float32)
    places[:7, :, 0] = 1  # the upper half
    places[:, 7:, 1] = 1  # the right half
    cues = halves(places)
    assert cues.shape == (2304,)
    assert cues[[0, 1]] == pytest.approx([0.5, 0.5])
    assert cues[[768, 769]] == pytest.approx([1, 0])
    assert cues[[1536, 1537]] == pytest.approx([0, -1])


@given(st.integers(0, 3), st.integers(0, 99))
def test_a_frame_that_underwent_a_turn_is_found_by_looks_that_see_it(undergone, seed):
    """Turned on by k quarters, a frame that underwent u has undergone u + k: looks that are right agree on u."""
    spoken = np.random.default_rng(seed).uniform(0, 0.4, (4, 4))
    spoken[np.arange(4), (undergone + np.arange(4)) % 4] += 0.5
    assert int(np.argmax(together(spoken))) == undergone


def head(sure=0.3):
    nothing = np.zeros(4, np.float32)
    plain = Regression(nothing, nothing + 1, np.eye(4, dtype=np.float32), nothing)
    return UprightHead(plain, plain, 0.0, sure, (4, 0), (4, 0))


@pytest.mark.parametrize(
    ("strengths", "turn"),
    [
        ([0.9, 0.1, 0, 0], 0),
        ([0.25, 0.2, 0, 0], 0),
        ([0, 0.9, 0, 0], 270),
        ([0, 0, 0.9, 0], 180),
        ([0, 0, 0, 0.9], 90),
        ([0.3, 0.5, 0, 0], None),
    ],
)
def test_a_turn_is_said_where_the_margin_is_enough(strengths, turn):
    found = judged(np.array(strengths), head())
    assert found.turn == turn
    assert 0.5 <= found.confidence < 1


def test_turned_copies_of_a_portrait_are_found(astronaut, models):
    """What is said is the turn clockwise that undoes the copy's."""
    for quarter, turn in enumerate(TURNS):
        copy = np.ascontiguousarray(np.rot90(astronaut, -quarter))
        found = FEATURES["upright"](Sight(copy, models, {}))
        assert found.turn == (360 - turn) % 360
        assert found.confidence > 0.9


def test_the_head_that_comes_along_is_whole_and_surer_by_a_larger_margin():
    came = UprightHead.load()
    assert [part.shape for part in came.first] == [(2304,), (2304,), (2304, 4), (4,)]
    assert [part.shape for part in came.again] == [(768,), (768,), (768, 4), (4,)]
    assert came.sure > 0 < min(came.one[0], came.four[0])


def test_a_regression_standardises_its_cues_by_hand():
    """(5 - 1) / 2 and (6 - 3) / 3 are 2 and 1; weighed and with what each turn begins with."""
    weights = np.array([[1, 0, 2, 0], [0, 1, 0, -1]], np.float32)
    one = Regression(
        *(np.array(part, np.float32) for part in ([1, 3], [2, 3])), weights, np.float32([0.1, 0.2, 0.3, 0.4])
    )
    assert one.says(np.array([5.0, 6.0])) == pytest.approx([2.1, 1.2, 4.3, -0.6])


def test_what_four_looks_say_together_is_their_mean_by_hand():
    spoken = np.arange(16.0).reshape(4, 4)  # turned on by k quarters, u becomes u + k
    assert together(spoken) == pytest.approx(
        [(0 + 5 + 10 + 15) / 4, (1 + 6 + 11 + 12) / 4, (2 + 7 + 8 + 13) / 4, (3 + 4 + 9 + 14) / 4]
    )


@pytest.mark.parametrize(
    ("strengths", "turn", "margin"),
    [
        ([0.5, 0.25, 0, 0], 0, 0.25),
        ([0.5, 0.5, 0, 0], 0, 0.0),
        ([0.2, 0.5, 0, 0], 270, 0.3),
        ([0.2, 0.49, 0, 0], None, 0.29),
    ],
)
def test_a_margin_is_over_the_second_best_and_its_chance_is_logistic(strengths, turn, margin):
    sure = replace(head(0.3), four=(3.0, -0.5), one=(9.0, 9.0))
    found = judged(np.array(strengths, np.float64) + 1e-12 * np.eye(4)[int(np.argmax(strengths))], sure)
    assert found.turn == turn
    assert found.confidence == pytest.approx(1 / (1 + np.exp(-(3 * margin - 0.5))))


def test_only_a_frame_that_may_not_stand_is_looked_at_in_its_other_turns(monkeypatch, models):
    """From the suspected margin on one look is enough; under it three copies are turned clockwise, by quarters."""
    places = np.zeros((14, 14, 4), np.float32)
    places[..., 0], places[..., 1] = 0.5, 0.25
    nothing, one = np.zeros(12, np.float32), np.ones(12, np.float32)
    first = Regression(nothing, one, np.eye(12, 4, dtype=np.float32), nothing[:4])
    again = Regression(nothing[:4], one[:4], np.eye(4, dtype=np.float32), nothing[:4])
    rgb = np.zeros((32, 48, 3), np.uint8)
    rgb[:16] = 200
    looks = []

    def network(batch):
        looks.append(batch[0, 0].mean(axis=1)[[0, -1]] > 0)
        said = np.zeros((14, 14, 4), np.float32)
        said[..., (0 + len(looks)) % 4] = 0.75  # each look says: undergone as many quarters as it was turned
        return ClipSeen(np.zeros(4), said, np.zeros((3, 4)), np.zeros(2))

    for suspect, looked in ((0.25, 0), (0.2501, 3)):
        made = UprightHead(first, again, suspect, 0.3, (2.0, 0.5), (3.0, -0.5))
        monkeypatch.setattr(UprightHead, "load", classmethod(lambda _, made=made: made))
        looks.clear()
        sight = Sight(rgb, replace(models, clip=network), {})
        sight._made[seen_by_clip] = ClipSeen(np.zeros(4), places, np.zeros((3, 4)), np.zeros(2))
        found = FEATURES["upright"](sight)
        assert len(looks) == looked
        if not looked:
            assert found == Upright(0, pytest.approx(1 / (1 + np.exp(-(2 * 0.25 + 0.5)))))
        else:
            strengths = (0.5 + 3 * 0.75) / 4, 0.25 / 4
            assert found == Upright(0, pytest.approx(1 / (1 + np.exp(-(3 * (strengths[0] - strengths[1]) - 0.5)))))
            assert looks[1].tolist() == [False, True]  # on its head: the light half lies below


def test_copies_are_turned_clockwise_by_one_two_and_three_quarters(monkeypatch, models):
    """By hand: the light corner of a frame, top left, lies top right, bottom right and bottom left in its copies."""
    nothing, one = np.zeros(12, np.float32), np.ones(12, np.float32)
    first = Regression(nothing, one, np.zeros((12, 4), np.float32), nothing[:4])
    again = Regression(nothing[:4], one[:4], np.eye(4, dtype=np.float32), nothing[:4])
    made = UprightHead(first, again, 1.0, 0.3, (2.0, 0.5), (3.0, -0.5))
    monkeypatch.setattr(UprightHead, "load", classmethod(lambda _: made))
    rgb, corners = np.zeros((32, 48, 3), np.uint8), []
    rgb[:16, :24] = 200

    def network(batch):
        light = batch[0, 0]
        corners.append([float(light[r, c]) > 0 for r, c in ((0, 0), (0, -1), (-1, -1), (-1, 0))].index(True))
        return ClipSeen(np.zeros(4), np.zeros((14, 14, 4), np.float32), np.zeros((3, 4)), np.zeros(2))

    sight = Sight(rgb, replace(models, clip=network), {})
    sight._made[seen_by_clip] = ClipSeen(np.zeros(4), np.zeros((14, 14, 4), np.float32), np.zeros((3, 4)), np.zeros(2))
    FEATURES["upright"](sight)
    assert corners == [1, 2, 3]
