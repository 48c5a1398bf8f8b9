"""The chance of twins grows with likeness and passes even odds where the module says."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.twins import TWINS, likeness_of
from tests.domain.plain import twin_chance


def test_even_odds_lie_at_the_threshold():
    assert float(twin_chance(TWINS)) == pytest.approx(0.5)


@given(st.floats(-1, 1), st.floats(-1, 1))
def test_more_alike_is_likelier(one, two):
    low, high = sorted((one, two))
    assert 0 < float(twin_chance(low)) <= float(twin_chance(high)) < 1


@pytest.mark.parametrize("chance", [1e-5, 0.2, 0.5, 0.9, 1 - 1e-5])
def test_a_chance_comes_back_from_its_likeness(chance):
    assert twin_chance(np.array([likeness_of(chance)]))[0] == pytest.approx(chance, rel=1e-6)


def test_chances_of_all_and_of_nothing_have_a_likeness_too():
    assert likeness_of(0.0) == likeness_of(1e-9) < likeness_of(1e-5)
    assert likeness_of(1.0) == likeness_of(1 - 1e-9) > likeness_of(1 - 1e-5)
