"""Texts of others steer nothing that is drawn after them."""

from hypothesis import given
from hypothesis import strategies as st

from setsolver.output.inert import inert, name_of


def test_odd_characters_become_visible():
    assert inert("a\nb\tc\x00") == "a\\nb\\tc\\x00"
    assert inert("\udcff") == "\\xff"
    assert inert("\u202ex\u2028\ue000") == "\\u202ex\\u2028\\ue000"
    assert inert("Töpferei 陶 <b>") == "Töpferei 陶 <b>"


@given(st.text())
def test_inert_text_can_always_be_written_and_printed(text):
    shown = inert(text)
    shown.encode("utf-8")
    assert shown.isprintable() or any(c.isspace() for c in shown)


def test_a_name_is_the_last_part_of_its_path():
    assert name_of("2024/may/kiln.jpg") == "kiln.jpg"
    assert name_of("odd/") == "odd/"
