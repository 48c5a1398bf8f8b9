"""Rows on a wall, by hand arithmetic."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.layout.wall import columns_for, hang


def test_a_row_of_three_squares_is_three_widths_and_two_gaps():
    placed = hang([(50, 50)] * 3, 3, 6)
    assert [p.x_cm for p in placed] == [0, 56, 112]
    assert placed[-1].x_cm + placed[-1].width_cm == 3 * 50 + 2 * 6


def test_a_short_last_row_is_centred():
    placed = hang([(30, 20)] * 5, 3, 2)
    assert [p.x_cm for p in placed] == [0, 32, 64, 16, 48]
    assert [p.y_cm for p in placed] == [0, 0, 0, 22, 22]


def test_prints_of_a_row_share_its_middle_line():
    low, tall = hang([(30, 20), (20, 30)], 2, 4)
    assert low.y_cm + low.height_cm / 2 == tall.y_cm + tall.height_cm / 2 == 15


@given(st.integers(1, 30), st.integers(1, 8), st.floats(0, 30))
def test_gaps_are_exact(count, columns, gap):
    placed = hang([(30, 20)] * count, columns, gap)
    for k in range(1, count):
        before, here = placed[k - 1], placed[k]
        if k % columns:
            assert here.x_cm - before.x_cm - before.width_cm == pytest.approx(gap, abs=1e-9)
        else:
            assert here.y_cm - before.y_cm - before.height_cm == pytest.approx(gap, abs=1e-9)


@pytest.mark.parametrize(
    ("kind", "count", "wished", "columns"),
    [
        ("row", 9, 3, 9),
        ("grid", 9, None, 3),
        ("grid", 8, None, 3),
        ("grid", 9, 4, 4),
        ("grid", 3, 50, 3),
        ("story", 8, None, 4),
        ("story", 5, None, 5),
        ("story", 7, None, 4),
        ("story", 8, 2, 2),
    ],
)
def test_columns(kind, count, wished, columns):
    assert columns_for(kind, count, wished) == columns
