"""Learning: photographers are simulated, whose weights are known."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from setsolver.taste.learning import Preference, agreement, learn

TERMS = ("appeal", "light", "kept", "variety")
START = {"appeal": 60.0, "light": 20.0, "kept": 20.0, "variety": 0.0}
MINE = {"appeal": 20.0, "light": 60.0, "kept": 0.0, "variety": 30.0}
WARM = 8.0


def choices(weights, count, seed, shoots=5, noise=WARM):
    """Return what somebody with these weights prefers among random pairs, unsure by the temperature."""
    rng = np.random.default_rng(seed)
    made = []
    for number in range(count):
        one, other = rng.uniform(0, 3, (2, len(TERMS)))
        margin = sum(weights[term] * (a - b) for term, a, b in zip(TERMS, one, other, strict=True)) / 3
        sure = margin > 0 if noise == 0 else 1 / (1 + np.exp(-margin / noise))
        if rng.random() > sure:
            one, other = other, one
        phi = (dict(zip(TERMS, map(float, row), strict=True)) for row in (one, other))
        made.append(Preference(*phi, 3, f"shoot {number % shoots}"))
    return made


def distance(weights):
    return sum(abs(weights[term] - START[term]) for term in TERMS)


def test_known_weights_are_recovered_from_many_choices():
    found = learn(choices(MINE, 3000, 1), START, WARM).weights
    assert [found[term] for term in TERMS] == pytest.approx([MINE[term] for term in TERMS], abs=5)


@pytest.mark.parametrize("seed", range(3))
def test_ten_choices_already_help_on_the_eleventh(seed):
    """Over forty photographers who care for light and variety much more than the taste that they start from."""
    rng = np.random.default_rng(seed)
    before, after = [], []
    for one in range(40):
        mine = dict(zip(TERMS, rng.uniform([5, 60, 0, 30], [25, 90, 20, 60]), strict=True))
        found = learn(choices(mine, 10, 100 * seed + one), START, WARM).weights
        fresh = choices(mine, 200, 9000 + 100 * seed + one, noise=0)
        before.append(agreement(fresh, START))
        after.append(agreement(fresh, found))
    assert np.mean(after) > np.mean(before) + 0.02


def test_few_choices_move_little_and_more_move_more():
    one, ten, many = (distance(learn(choices(MINE, count, 3), START, WARM).weights) for count in (1, 10, 300))
    assert one < 0.35 * many
    assert one < ten < many


@settings(max_examples=20, deadline=None)
@given(st.integers(1, 12), st.integers(0, 1000))
def test_weights_are_never_below_0_and_what_no_choice_speaks_of_stays(count, seed):
    same = {"kept": 1.0}
    made = [
        one._replace(chosen=dict(one.chosen) | same, over=dict(one.over) | same) for one in choices(START, count, seed)
    ]
    found = learn(made, START, WARM)
    assert min(found.weights.values()) >= 0
    assert found.weights["kept"] == pytest.approx(START["kept"], rel=1e-3)
    assert "kept" not in {move.term for move in found.moves}


def test_what_contradicts_itself_moves_nothing():
    one, other = choices(START, 2, 7)
    back = one._replace(chosen=one.over, over=one.chosen)
    assert learn([one, back], START, WARM).weights == pytest.approx(START)
    assert learn([one, back], START, WARM).told == 0.5
    assert learn([one, back, other], START, WARM).weights == pytest.approx(learn([other], START, WARM).weights)


def test_agreement_is_told_on_shoots_left_out_where_there_are_enough():
    learned = learn(choices(MINE, 400, 5), START, WARM)
    assert learned.told_before < learned.left_out <= learned.told + 0.02
    assert learn(choices(MINE, 2, 5), START, WARM).left_out is None


def test_the_weights_that_moved_furthest_are_told_first():
    mine = START | {"variety": 60.0}
    assert learn(choices(mine, 500, 6), START, WARM).moves[0].term == "variety"


def test_a_choice_in_eight_equal_shares_counts_as_one():
    rest = choices(MINE, 5, 11)
    one = choices(MINE, 1, 12)[0]
    whole = learn([*rest, one], START, WARM).weights
    shares = learn([*rest, *[one._replace(worth=1 / 8)] * 8], START, WARM).weights
    assert [shares[term] for term in TERMS] == pytest.approx([whole[term] for term in TERMS], rel=1e-4)
    assert learn([*rest, *[one] * 8], START, WARM).weights["light"] != pytest.approx(whole["light"], rel=1e-3)


def test_weights_are_the_likeliest_under_the_chances_that_are_written_down():
    """The loss is written anew from the two sources: Bradley and Terry, and a normal prior as wide as is said."""
    made = [one._replace(worth=worth) for one, worth in zip(choices(MINE, 6, 21), (1, 1, 0.5, 1, 0.25, 1), strict=True)]
    found = learn(made, START, WARM).weights

    def unlikely(weights):
        lost = 0.0
        for one in made:
            margin = sum(weights[term] * (one.chosen[term] - one.over[term]) for term in TERMS) / 3
            lost += one.worth * np.log1p(np.exp(-margin / WARM))
        far = {term: 0.7 * START[term] or 0.6 * WARM for term in TERMS}
        return lost + sum(((weights[term] - START[term]) / far[term]) ** 2 for term in TERMS) / 2

    least = unlikely(found)
    assert least < unlikely(START)
    for term in TERMS:
        for step in (-0.5, 0.5):
            if found[term] + step >= 0:
                assert unlikely(found | {term: found[term] + step}) > least


def test_three_shoots_are_enough_to_leave_one_out_and_so_are_three_choices_of_one():
    """Two like choices of a shoot tell each other; where their shoot is left out they cannot."""
    odd = Preference({"variety": 3.0}, {}, 3, "odd")
    plain = [Preference({"light": 3.0}, {"variety": 1.5}, 3, f"plain {number}") for number in range(2)]
    start = {"light": 1.0, "variety": 0.0}
    of_shoots = learn([odd, odd, *plain], start, WARM).left_out
    of_choices = learn([one._replace(shoot="one") for one in [odd, odd, *plain]], start, WARM).left_out
    assert of_shoots == 0.75
    assert of_choices == 1.0
    assert learn(plain, start, WARM).left_out is None
    assert learn([odd._replace(shoot="one")] * 3, start, WARM).left_out == 1.0


def test_many_choices_are_left_out_five_times_not_one_by_one(monkeypatch):
    """With a thousand choices somebody would wait for a thousand fits."""
    fits = []
    monkeypatch.setattr("setsolver.taste.learning.minimize", lambda *a, **k: fits.append(1) or minimize(*a, **k))
    learn(choices(MINE, 60, 8, shoots=1), START, WARM)
    learn(choices(MINE, 60, 8, shoots=20), START, WARM)
    assert len(fits) == 2 * (1 + 5)
