"""Counts, lists and nearest names."""

from setsolver.rules.words import count, in_a_row, nearest, number, signed


def test_counts():
    assert count(1, "frame") == "1 frame"
    assert count(0, "frame") == "0 frames"
    assert count(2, "box", "boxes") == "2 boxes"


def test_lists():
    assert [in_a_row(names) for names in ([], ["a"], ["a", "b"], ["a", "b", "c"])] == ["", "a", "a and b", "a, b and c"]
    assert in_a_row(["a", "b"], "or") == "a or b"


def test_nearest_names_whatever_their_case():
    assert nearest("YARD/A.JPG", ["yard/a.jpg", "kiln/9.jpg"]) == '; did you mean "yard/a.jpg"?'
    assert nearest("zzz", ["yard/a.jpg"]) == ""


def test_numbers_have_a_true_minus_and_no_minus_zero():
    assert [number(value, 0) for value in (-4.0, -0.2, 3.6)] == ["\u22124", "0", "4"]
    assert [signed(value) for value in (-5.94, 0.01, 5.9)] == ["\u22125.9", "0.0", "+5.9"]
