"""The chance that two frames belong to one scene, and what follows from chances."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.catalog.scenes import WEIGHTS, Look, chances, joined

ONE = np.eye(8, dtype=np.float32)


def pair(alike=0.5, colour=0.0, mid=0.0, gap=60.0, whole=True, light=()):
    """The chance of two frames whose cosines, colours and times are as given."""
    vectors = np.stack([ONE[0], alike * ONE[0] + np.sqrt(1 - alike**2) * ONE[1]]).astype(np.float32)
    colours = np.array([[0, 0, 0, 50], [colour, 0, 0, 50 + mid]], np.float32)
    look = Look((vectors, vectors), colours, np.array([True, whole]))
    instant = np.array([0.0, np.nan if gap is None else gap])
    return float(chances(look, instant, np.array(light, float))[0, 1])


@pytest.mark.parametrize("whole", [True, False])
@pytest.mark.parametrize("timed", [True, False])
def test_every_weight_speaks_the_way_its_cue_does(timed, whole):
    weights = WEIGHTS[timed, whole]
    assert min(weights.parts) >= 0 >= max(weights.palette, weights.mid, *weights.time, -1.0)
    assert len(weights.time) == (4 if timed else 0)
    assert whole or weights.parts[1] == 0.0


def test_log_odds_are_the_sum_of_what_the_cues_say():
    # by hand: a minute is log2(60) doublings of a second, all in the first stretch
    weights = WEIGHTS[True, True]
    odds = weights.constant + 0.5 * sum(weights.parts) + weights.palette * 1.2 + weights.mid * 0.7
    odds += weights.time[0] * np.log2(60)
    assert pair(colour=12.0, mid=-7.0) == pytest.approx(1 / (1 + np.exp(-odds)), rel=1e-4)


@settings(deadline=None, max_examples=60)
@given(st.floats(-0.9, 0.8), st.floats(0, 60), st.floats(0, 90), st.none() | st.floats(0, 1e6), st.booleans())
def test_likeness_raises_a_chance_and_colour_light_and_time_lower_it(alike, colour, mid, gap, whole):
    plain = pair(alike, colour, mid, gap, whole)
    assert 0.0 <= plain <= 1.0
    assert pair(alike + 0.1, colour, mid, gap, whole) >= plain
    assert pair(alike, colour + 5, mid, gap, whole) <= plain
    assert pair(alike, colour, mid + 5, gap, whole) <= plain
    assert pair(alike, colour, mid, gap, whole, light=(4.0, 9.0)) <= plain
    if gap is not None:
        assert pair(alike, colour, mid, gap * 2, whole) <= plain


def test_a_clip_that_has_not_looked_says_nothing():
    vectors = (ONE[:2], np.stack([ONE[0], ONE[0]]))
    look = Look(vectors, np.zeros((2, 4), np.float32), np.zeros(2, bool))
    other = look._replace(parts=(ONE[:2], ONE[:2]))
    time = np.array([0.0, 30.0])
    assert chances(look, time)[0, 1] == chances(other, time)[0, 1]


def test_groups_grow_while_their_mean_chance_is_over_the_bar():
    # by hand: 0 and 1 join at 0.9; 2 lies at (0.8 + 0.2) / 2 = 0.5 from both
    chance = np.array([[1, 0.9, 0.8], [0.9, 1, 0.2], [0.8, 0.2, 1]])
    assert len(set(joined(chance, 0.55).tolist())) == 2
    assert len(set(joined(chance, 0.45).tolist())) == 1


@pytest.mark.parametrize("count", [0, 1])
def test_nothing_or_one_frame_is_no_more_than_one_scene(count):
    assert joined(np.ones((count, count), np.float32), 0.5).tolist() == [0] * count


@pytest.mark.parametrize(
    ("whole", "timed", "told"),
    [
        (True, True, (0.91025, 0.98996, 0.14342)), (True, False, (0.6757, 0.98144, 0.10997)),
        (False, True, (0.96119, 0.99425, 0.29534)), (False, False, (0.83395, 0.98978, 0.23523)),
    ],
)  # fmt: skip
def test_three_pairs_are_as_likely_as_when_the_weights_were_fitted(whole, timed, told):
    """Recorded, no outside fact: whoever changes a weight changes scenes of every catalog, and should mean to."""
    pairs = ((0.6, 8, -5, 60.0), (0.9, 3, 2, 300.0), (0.4, 20, 10, 9000.0))
    found = [pair(alike, colour, mid, gap if timed else None, whole) for alike, colour, mid, gap in pairs]
    assert found == pytest.approx(told, abs=2e-5)
