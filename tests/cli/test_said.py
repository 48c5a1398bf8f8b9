"""Tables that verbs print: aligned as a terminal shows them, nothing folded, nothing taken for markup."""

from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from setsolver.cli.said import table

CELLS = st.text(st.characters(exclude_categories=("C", "Z", "M")), max_size=12)


def test_columns_are_two_apart_and_those_asked_for_stand_at_the_right():
    told = table([("a", "1", "x"), ("bbb", "22", "")], right=(1,))
    assert told == "  a     1  x\n  bbb  22"


def test_no_rows_are_no_table():
    assert table([]) == ""


def test_wide_letters_take_two_places():
    """East Asian wide characters (Unicode Standard Annex 11): two ideographs are as wide as four Latin letters."""
    assert table([("窯場", "1"), ("kiln", "2")]) == "  窯場  1\n  kiln  2"


def test_what_looks_like_markup_is_text_and_long_paths_are_whole():
    path = "[red]" + "a/" * 200
    assert table([(path, "1")]) == f"  {path}  1"


@given(st.lists(st.tuples(CELLS, CELLS), min_size=1, max_size=5))
def test_second_columns_begin_at_one_place(rows):
    widest = max(cell_len(first) for first, _ in rows)
    for line, (first, second) in zip(table(rows).split("\n"), rows, strict=True):
        pad = " " * (widest - cell_len(first) + 2)
        assert line == f"  {first}{pad}{second}".rstrip()
