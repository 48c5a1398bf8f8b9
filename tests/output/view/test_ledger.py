"""The ledger as bars that arrive at the score."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.outcome import LedgerLine
from setsolver.output.view.ledger import ledger_view, lines_of
from tests.output.builders import brief, found

amounts = st.lists(st.floats(-50, 50), min_size=1, max_size=8)


def set_of(values):
    lines = tuple(LedgerLine(rule=f"rule_{i}", points=v, frames=(), says="s") for i, v in enumerate(values))
    return found(brief(), ("a.jpg", "b.jpg", "c.jpg"), ledger=lines, score=sum(values))


@given(amounts)
def test_each_bar_starts_where_the_one_before_ends_and_the_sum_spans_zero_to_the_score(values):
    view = ledger_view(set_of(values))
    at = view.zero
    for row in view.rows:
        start, end = (
            (row.bar.left + row.bar.width, row.bar.left)
            if row.bar.cost
            else (row.bar.left, row.bar.left + row.bar.width)
        )
        assert start == pytest.approx(at, abs=1e-4)
        at = end
        assert row.bar.left >= -1e-6
        assert row.bar.left + row.bar.width <= 100 + 1e-6
    end_of_sum = view.bar.left if view.bar.cost else view.bar.left + view.bar.width
    assert end_of_sum == pytest.approx(at, abs=1e-4)


def test_lines_name_frames_by_number_and_short_words_sum_up():
    view = ledger_view(found(brief(), ("x/a.jpg", "b.jpg", "c.jpg")))
    quality, role, variety, _ = view.rows
    assert quality.lines[0].frames == ("1 a.jpg",)
    assert quality.says == ("3 frames, +28.0 to +30.0 each",)
    assert role.says == ("3 frames, +15.5 each",)
    assert variety.says == ("far apart",)


def test_lines_of_a_frame_are_those_that_speak_of_it_alone():
    one = found(brief(), ("a.jpg", "b.jpg", "c.jpg"))
    assert [rule for rule, _ in lines_of(one, "a.jpg")] == ["Quality", "Role"]
    assert [rule for rule, _ in lines_of(one, "c.jpg")] == ["Quality", "Role", "Tone"]
