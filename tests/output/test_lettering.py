"""Text on drawn sheets: it has the letters of European names and fits its room."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from setsolver.output.lettering import fitted, font, wrapped


def test_the_typeface_has_what_names_and_numbers_need():
    face = font(30)
    missing = bytes(face.getmask("\ue123"))
    for character in "AZaz09éüßŁøœñçŞİΓΩЖя\u00d7\u2013\u2212\u00b0\u2026":
        assert bytes(face.getmask(character)) != missing, character


@given(st.text(st.characters(categories=["L", "N", "P"]), max_size=80), st.integers(60, 600))
def test_fitted_text_is_no_wider_than_its_room(text, width):
    face = font(20)
    short = fitted(text, face, width)
    assert face.getlength(short) <= width
    assert short == text or "\u2026" in short


def test_both_ends_of_a_long_name_stay():
    short = fitted("morning-at-the-kiln-on-the-hill-0042.jpg", font(20), 200)
    assert short.startswith("morning")
    assert short.endswith("42.jpg")


@given(st.lists(st.text("abcdefgh", min_size=1, max_size=12), max_size=30))
def test_wrapped_lines_hold_all_words_and_break_only_where_they_must(words):
    face = font(20)
    lines = wrapped(" ".join(words), face, 200)
    assert " ".join(lines).split() == words
    assert all(face.getlength(line) <= 200 for line in lines)
    for line, following in pairwise(lines):
        assert face.getlength(f"{line} {following.split()[0]}") > 200


def test_what_just_fits_stays_whole():
    """Widths are added up letter by letter, so that a text's own width is exact."""
    face = font(20)
    for text in ("kiln", "a bowl on a shelf"):
        width = face.getlength(text)
        assert fitted(text, face, width) == text
        assert fitted(text, face, width - 0.01) != text
        assert wrapped(text, face, width) == [text]
