"""Framed width from optics, and what it does to the odds of a scale."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import lognorm

from setsolver.domain.measures import ScaleOdds
from setsolver.features.distance import framed_metres, with_framed_width

UNSURE = ScaleOdds(1 / 3, 1 / 3, 1 / 3)


@pytest.mark.parametrize(("distance", "focal", "metres"), [(2.0, 36.0, 2.0), (10.0, 24.0, 15.0), (1.0, 72.0, 0.5)])
def test_similar_triangles(distance, focal, metres):
    # The film of a 35 mm camera is 36 mm wide (ISO 1007, from memory): width over distance is 36 over the focal length.
    assert framed_metres(distance, focal) == pytest.approx(metres)


@pytest.mark.parametrize(
    ("distance", "focal"), [(None, 35.0), (2.0, None), (0.0, 35.0), (float("inf"), 35.0), (2.0, 0.0)]
)
def test_unknown_distances_say_nothing(distance, focal):
    assert framed_metres(distance, focal) is None


@pytest.mark.parametrize(
    ("metres", "scale"), [(50.0, "wide"), (8.0, "wide"), (2.0, "medium"), (0.3, "close"), (0.05, "close")]
)
def test_an_unsure_picture_takes_the_scale_of_its_optics(metres, scale):
    assert with_framed_width(UNSURE, metres).best == scale


def test_a_sure_picture_is_not_overruled_near_a_border():
    assert with_framed_width(ScaleOdds(0.97, 0.02, 0.01), 3.5).best == "wide"


@given(st.tuples(*[st.floats(0.01, 1.0)] * 3), st.floats(0.01, 1e4))
def test_odds_stay_odds(weights, metres):
    odds = with_framed_width(ScaleOdds(*(w / sum(weights) for w in weights)), metres)
    assert sum(odds) == pytest.approx(1.0)
    assert min(odds) >= 0.0


@pytest.mark.parametrize("metres", [0.1, 0.6, 2.0, 9.0])
def test_the_optics_weigh_as_a_log_normal_of_the_framed_width(metres):
    """Against SciPy's density, which counts per metre and not per unit of the logarithm; 0.8 is a factor of 2.2."""
    before = ScaleOdds(0.5, 0.3, 0.2)
    likely = [lognorm.pdf(metres, s=0.8, scale=typical) * metres for typical in (12.0, 1.6, 0.25)]
    expected = np.array(before) * likely
    assert with_framed_width(before, metres) == pytest.approx(expected / expected.sum(), abs=1e-5)
