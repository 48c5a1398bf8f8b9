"""What can be said of a clock."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.clock import checked_clock, plain_shift, shift_of
from setsolver.errors import BadInput


@pytest.mark.parametrize(
    ("said", "plain", "seconds"),
    [
        ("+1h", "+1h", 3600),
        ("-7m", "-7m", -420),
        ("+1h30m", "+1h30m", 5400),
        ("+90m", "+1h30m", 5400),
        ("+2d", "+2d", 172_800),
        ("-12s", "-12s", -12),
        ("0h", "0h", 0),
        ("+0m", "0h", 0),
    ],
)
def test_shifts(said, plain, seconds):
    assert checked_clock(said) == plain
    assert shift_of(plain) == timedelta(seconds=seconds)


def test_a_clock_that_is_worth_nothing_and_one_that_is_taken_back():
    assert checked_clock("none") == "none"
    assert shift_of("none") is None
    assert checked_clock("measured") is None


@pytest.mark.parametrize(
    "said", ["", "+", "1h", "+1", "h", "+1h-2m", "+30m1h", "+1.5h", "+1H", " +1h", "+1000000d", "+x"]
)
def test_anything_else_is_bad_input_with_the_way_out(said):
    with pytest.raises(BadInput, match=r"sets no clock; write what its times lack, such as \+1h"):
        checked_clock(said)


@given(st.integers(-10_000_000, 10_000_000))
def test_what_is_written_is_read(seconds):
    assert shift_of(plain_shift(seconds)) == timedelta(seconds=seconds)
    assert checked_clock(plain_shift(seconds)) == plain_shift(seconds)
