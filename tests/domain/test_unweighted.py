"""Weights come last: what ``weigh`` makes of parts, and what a set is worth to each of them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from setsolver.domain.unweighted import Axis, Place, Unweighted
from setsolver.domain.validate import best_look, phi, score_terms

M, R = 5, 2
units = arrays(float, (M, R), elements=st.floats(0, 1))
levels = arrays(float, (M,), elements=st.floats(-9, 9))
spots = arrays(float, (M, 3), elements=st.floats(-1, 1))
points = st.floats(0, 50)


def parts_of(gain, other, values, place, second, reach=np.inf):
    axes = [Axis("hue", f"hue {i}", "hue", value, 0.5, np.inf) for i, value in enumerate(values)]
    return Unweighted(
        size=3,
        frame=np.arange(M),
        playable=np.ones((M, R), dtype=bool),
        role_min=np.zeros(R, dtype=np.int64),
        role_max=np.full(R, 3),
        gains={"gain": gain, "other": other},
        axes=(*axes, Axis("tone", "mid", "mid tone", values[0] * 2, 1.0, reach)),
        places=(Place("place", place), Place("second", second)),
        group=np.zeros((0, M), dtype=np.int64),
    )


@given(units, units, st.tuples(levels, levels), spots, spots, st.lists(points, min_size=6, max_size=6))
def test_the_score_is_the_sum_of_weight_times_phi_with_many_columns_and_two_places(
    gain, other, values, place, second, w
):
    parts = parts_of(gain, other, values, place, second)
    weights = dict(zip(("gain", "other", "hue", "tone", "place", "second"), w, strict=True))
    problem = parts.weigh(weights)
    chosen, roles = (0, 2, 3), (0, 1, 1)
    look = best_look(problem, chosen)
    score = score_terms(problem, chosen, roles, look).score
    worth = phi(parts, chosen, roles)
    assert sum(weights[term] * value for term, value in worth.items()) == pytest.approx(score, abs=1e-6)
    full = np.full(3, np.nan)
    full[list(parts.kept(weights))] = look
    assert phi(parts, chosen, roles, full) == pytest.approx(worth, abs=1e-6)


def plain(**changes):
    zero = np.zeros((M, R))
    return parts_of(zero, zero, (np.arange(5.0), np.arange(5.0)), np.zeros((M, 1)), np.zeros((M, 1)), **changes)


def test_an_axis_that_costs_nothing_and_forbids_nothing_is_left_out():
    assert plain().weigh({"tone": 1}).tone.shape == (M, 1)
    assert plain().weigh({"hue": 1}).tone.shape == (M, 2)
    assert plain().weigh({}).tone.shape == (M, 0)
    assert plain(reach=2.0).weigh({}).tone_reach.tolist() == [2.0]


def test_phi_of_an_axis_that_was_left_out_is_that_of_its_best_level():
    worth = phi(plain(), (0, 2, 4), (0, 0, 0))
    assert worth["hue"] == pytest.approx(-2 * (1.5 + 0 + 1.5))  # level 2: 2 - 0.5 on both sides, two columns
    assert worth["tone"] == pytest.approx(-(3 + 0 + 3))


def test_what_cannot_be_played_stays_nan_whatever_it_would_earn():
    parts = plain()
    parts.playable[1, 0] = False
    assert np.isnan(parts.weigh({"gain": 3}).gain).sum() == 1


def test_one_place_keeps_its_own_weight():
    parts = plain()
    single = Unweighted(**{**vars(parts), "places": parts.places[:1]})
    assert single.weigh({"place": 7}).variety_weight == 7


def test_a_term_without_a_weight_weighs_nothing():
    ones = np.ones((M, R))
    parts = parts_of(
        ones, ones, (np.arange(M) * 1.0, np.arange(M) * 2.0), np.zeros((M, 1)), np.zeros((M, 1)), reach=5.0
    )
    problem = parts.weigh({})
    assert problem.tone_weight.tolist() == [0.0]  # the tone is kept for its reach, at no price
    assert np.nansum(problem.gain) == 0
