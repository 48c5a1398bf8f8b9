"""Showing: what people do, on pictures that are plain."""

from string import ascii_lowercase

import numpy as np
import pytest

from setsolver.domain.measures import Showing
from setsolver.features import showing
from setsolver.features.clip import clip_of
from setsolver.features.showing import LETTERS, SUMS, showing_of
from setsolver.features.sight import FEATURES, Sight


def carried(name):
    from skimage import data  # noqa: PLC0415 - slow to import

    return np.ascontiguousarray(getattr(data, name)())


def shown(picture, models):
    return showing_of(clip_of(picture, models.clip).embedding)


def test_an_astronaut_sits_for_her_portrait(astronaut, models):
    assert shown(astronaut, models).posing > 0.6


@pytest.mark.parametrize("name", ["coffee", "chelsea", "rocket"])
def test_a_cup_a_cat_and_a_rocket_are_nobody(name, models):
    """As anybody sees. Carried by scikit-image, whose documentation of ``skimage.data`` says whose they are.

    A cup of coffee: Rachel Michetti, CC0. A cat: Stefan van der Walt, CC0. The launch of a rocket: SpaceX, public
    domain.
    """
    assert shown(carried(name), models).nobody > 0.9


@pytest.mark.parametrize("name", ["coffee", "astronaut"])
def test_odds_are_odds_and_sum_to_one(name, models):
    odds = np.array(shown(carried(name), models))
    assert (odds >= 0).all()
    assert odds.sum() == pytest.approx(1)


def test_each_letter_of_the_head_is_in_one_sum_and_every_sum_has_a_place_in_showing():
    assert tuple(SUMS) == Showing._fields
    letters = "".join(SUMS.values())
    assert sorted(letters) == sorted(set(letters)) == list(LETTERS)
    assert set(letters) <= set(ascii_lowercase)


def test_odds_are_summed_over_the_letters_of_a_kind(monkeypatch):
    """By hand: (4, 5) about (1, 1) is (3, 4), of length 1 (0.6, 0.8).

    The logit of w is ln 4, of p ln 2, of a ln 3, of the nine others 0; in all 4 + 2 + 3 + 9 = 18.
    """
    letters = np.array(sorted("".join(SUMS.values())))
    logits = np.log([{"w": 4, "p": 2, "a": 3}.get(one, 1) for one in letters])
    weights = np.stack([logits / 1.2, logits / 1.6])  # 0.6 of the one and 0.8 of the other: half a logit each
    head = {"mean": np.array([1.0, 1.0]), "weights": weights, "bias": np.zeros(len(letters))}
    monkeypatch.setattr(showing, "weights_of", lambda _: head)
    assert showing_of(np.array([4.0, 5.0])) == pytest.approx((4 / 18, 1 / 18, 1 / 18, 3 / 18, 9 / 18))
    assert showing_of(np.array([7.0, 9.0])) == pytest.approx((4 / 18, 1 / 18, 1 / 18, 3 / 18, 9 / 18))  # direction only
    monkeypatch.setitem(head, "bias", np.where(letters == "s", np.log(19), 0.0))
    assert showing_of(np.array([4.0, 5.0])).performing == pytest.approx(19 / 36)


def test_a_frame_that_clip_has_not_looked_at_has_no_showing(models):
    assert FEATURES["showing"](Sight(np.zeros((8, 8, 3), np.uint8), models, {"clip": None})) is None
