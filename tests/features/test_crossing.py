"""Where a horizon runs, of places whose answer is known."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.features.clip import clip_of
from setsolver.features.crossing import along, crossing_by_clip, share_crossed

SHAPE = (14, 14)


def band(height: float, rise: float = 0.0) -> np.ndarray:
    """Log odds of places that say a horizon runs there and nowhere else."""
    return -5 + 7 * share_crossed(height, rise, SHAPE)


@given(height=st.floats(0.06, 0.94), rise=st.floats(-0.1, 0.1))
def test_a_line_inside_the_picture_is_shared_by_the_places_of_each_column(height, rise):
    share = share_crossed(height, rise, SHAPE)
    assert share.min() >= 0
    inside = np.abs(height + rise * ((np.arange(14) + 0.5) / 14 - 0.5) - 0.5) < 0.5 - 0.5 / 14
    assert share.sum(axis=0)[inside] == pytest.approx(1.0)


def test_a_line_through_the_middle_of_a_row_is_that_rows():
    share = share_crossed(4.5 / 14, 0.0, SHAPE)
    assert share[4] == pytest.approx(1.0)
    assert share.sum() == pytest.approx(14)


def test_the_mirror_image_rises_the_other_way():
    assert np.allclose(share_crossed(0.4, 0.3, SHAPE), share_crossed(0.4, -0.3, SHAPE)[:, ::-1])


def test_the_line_that_the_places_speak_of_is_likeliest_and_most_alone():
    crossing = band(6.5 / 14)
    right, beside = along(crossing, 6.5 / 14, 0.0), along(crossing, 9.5 / 14, 0.0)
    slanted = along(crossing, 6.5 / 14, 0.4)
    assert right[0] > slanted[0] > beside[0]
    assert right[1] > slanted[1] > beside[1]
    assert right == pytest.approx((2.0, np.log((np.exp(2)) / (np.exp(2) + 13 * np.exp(-5)))))


def test_a_second_horizon_leaves_a_line_as_likely_but_less_alone():
    one = band(4.5 / 14)
    both = np.maximum(one, band(10.5 / 14))
    assert along(both, 4.5 / 14, 0.0)[0] == along(one, 4.5 / 14, 0.0)[0]
    assert along(both, 4.5 / 14, 0.0)[1] == pytest.approx(along(one, 4.5 / 14, 0.0)[1] - np.log(2), abs=0.01)


def test_columns_that_a_line_leaves_do_not_count_and_a_line_outside_says_nothing():
    assert along(band(0.5), 0.5, 0.0) == pytest.approx(along(band(0.5)[:, :7], 0.5, 0.0))
    steep = along(band(0.5, 3.0), 0.5, 3.0)
    assert np.isfinite(steep).all()
    assert np.isnan(along(band(0.5), -0.5, 0.0)).all()


def test_log_odds_follow_the_weights_and_are_bounded():
    places = np.zeros((1, 3, 2), np.float32)
    places[0, :, 0] = [-100, 0, 100]
    assert crossing_by_clip(places, np.array([1.0, 5.0, 0.5], np.float32)) == pytest.approx(np.array([[-6, 0.5, 4]]))


def test_the_head_that_comes_with_the_package_finds_the_seam_of_sea_and_sky(seascape, models):
    sky, sea = np.array([120, 165, 225], np.uint8), np.array([30, 60, 80], np.uint8)
    rgb = np.where(seascape(0.0).mean(axis=2, keepdims=True) > 150, sky, sea).astype(np.uint8)
    crossing = crossing_by_clip(clip_of(rgb, models.clip).places)
    assert crossing.shape == SHAPE
    assert abs(crossing.mean(axis=1).argmax() - 0.45 * 14) < 1.5
