"""What a crop's tone and shot scale are: the same definitions as for whole frames."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.crops.odds import odds_of_crops
from setsolver.crops.tones import tones_of_crops
from setsolver.domain.geometry import Box
from setsolver.domain.measures import ToneTiles
from tests.crops.plain import tone_from_tiles
from tests.rules.builders import make_tiles


@settings(max_examples=60)
@given(st.integers(0, 10_000), st.floats(0, 0.6), st.floats(0, 0.6), st.floats(0.05, 0.4), st.floats(0.05, 0.4))
def test_many_tones_at_once_are_those_of_one_at_a_time(seed, x, y, w, h):
    rng = np.random.default_rng(seed)
    tiles = ToneTiles(
        (rng.random((6, 6, 100)) ** 4 * 500).astype(np.uint16), rng.normal(size=(6, 6, 3)).astype(np.float32) ** 2
    )
    box = Box(x, y, w, h)
    tones = tones_of_crops([tiles], np.zeros(2, dtype=np.int64), np.array([box, (0, 0, 1, 1)]))
    assert tones[0] == pytest.approx(tone_from_tiles(tiles, box), abs=1e-6)
    assert tones[1] == pytest.approx(tone_from_tiles(tiles, Box(0, 0, 1, 1)), abs=1e-6)


def test_without_near_neutrals_there_is_no_cast():
    tiles = make_tiles(8, 48, 92)
    tiles = tiles._replace(neutral=np.zeros_like(tiles.neutral))
    assert tones_of_crops([tiles], np.zeros(1, dtype=np.int64), np.array([[0, 0, 1, 1.0]]))[0, 3:].tolist() == [0, 0]


odds = st.tuples(*(st.floats(0.01, 1) for _ in range(3))).map(lambda row: np.array([row]) / sum(row))
sizes = st.floats(0.2, 1.0)


@given(odds, odds, sizes)
def test_odds_stay_odds_and_a_crop_is_never_wider_than_its_frame(whole, inner, size):
    crop = odds_of_crops(whole, inner, np.array([[0, 0, size, size]]))[0]
    assert crop.sum() == pytest.approx(1)
    assert crop.min() >= 0
    assert crop[0] <= whole[0, 0] + 1e-12
    assert crop[2] >= whole[0, 2] - 1e-12


def test_the_whole_frame_keeps_its_odds_and_half_of_it_has_the_inner_ones():
    whole, inner = np.array([[0.8, 0.15, 0.05]]), np.array([[0.1, 0.3, 0.6]])
    assert odds_of_crops(whole, inner, np.array([[0, 0, 1, 1.0]])) == pytest.approx(whole)
    assert odds_of_crops(whole, inner, np.array([[0.2, 0.2, 0.5, 0.5]])) == pytest.approx(inner)
    between = odds_of_crops(whole, inner, np.array([[0, 0, 0.5**0.5, 0.5**0.5]]))
    assert between == pytest.approx((whole + inner) / 2)
