"""Numbers of frames, each once, against numpy's own."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.distinct import distinct


@given(st.lists(st.integers(0, 50), max_size=200))
def test_it_is_what_numpy_finds_unique(numbers):
    found = distinct(np.array(numbers, dtype=np.int64))
    assert found.dtype == np.int64
    assert found.tolist() == np.unique(numbers).tolist()


@pytest.mark.parametrize("numbers", [[10**12, 0, 10**12], [2**62], []])
def test_large_numbers_cost_no_memory(numbers):
    assert distinct(np.array(numbers, dtype=np.int64)).tolist() == sorted(set(numbers))
