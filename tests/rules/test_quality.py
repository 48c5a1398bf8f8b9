"""Quality: what a crop leaves of the frame's sharpness, tile by tile."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.measures import DETAIL_GRID, Detail
from setsolver.rules.quality import sharpness_of_crops
from tests.rules.builders import make_frame, with_measures

SIDES = st.tuples(st.floats(0, 0.9), st.floats(0, 0.9), st.floats(0.05, 1), st.floats(0.05, 1))


@given(st.integers(0, 10**6), SIDES)
def test_only_tiles_whose_centre_is_inside_count(seed, box):
    tiles = np.random.default_rng(seed).random(DETAIL_GRID, dtype=np.float32)
    frame = with_measures(make_frame(0), detail=Detail(0.5, 0.0, 0.5, tiles))
    x, y, w, h = box
    inside = [
        float(tiles[row, column])
        for row in range(DETAIL_GRID[0])
        for column in range(DETAIL_GRID[1])
        if y <= (row + 0.5) / DETAIL_GRID[0] <= y + h and x <= (column + 0.5) / DETAIL_GRID[1] <= x + w
    ]
    (found,) = sharpness_of_crops((frame,), np.array([0]), np.array([box]))
    assert found == pytest.approx(max(inside, default=0.0) / float(tiles.max()))


def test_where_nothing_is_sharp_no_crop_loses_any():
    frame = with_measures(make_frame(0), detail=Detail(0.0, 0.0, 0.5, np.zeros(DETAIL_GRID, np.float32)))
    assert sharpness_of_crops((frame,), np.array([0]), np.array([[0.0, 0.0, 0.1, 0.1]])).tolist() == [1.0]
    assert sharpness_of_crops((), np.zeros(0, int), np.zeros((0, 4))).size == 0
