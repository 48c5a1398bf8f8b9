"""The chance of twins grows with likeness and passes even odds where the module says."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.twins import TWINS, twin_chance


def test_even_odds_lie_at_the_threshold():
    assert float(twin_chance(TWINS)) == pytest.approx(0.5)


@given(st.floats(-1, 1), st.floats(-1, 1))
def test_more_alike_is_likelier(one, two):
    low, high = sorted((one, two))
    assert 0 < float(twin_chance(low)) <= float(twin_chance(high)) < 1
