"""Accents in either form of Unicode (UAX 15): what a keyboard gives, and what macOS gives names."""

from unicodedata import normalize

import pytest

from setsolver.domain.names import as_written, fits, same_name

NFC, NFD = "kiln/żółw-é.jpg", normalize("NFD", "kiln/żółw-é.jpg")


def test_the_two_forms_differ_and_are_written_the_same():
    assert NFC != NFD
    assert as_written(NFC) == as_written(NFD) == NFC


@pytest.mark.parametrize(
    ("name", "pattern"), [(NFC, NFD), (NFD, NFC), (NFD, "kiln/żó*"), (NFC, normalize("NFD", "*é*"))]
)
def test_a_glob_fits_whatever_the_form(name, pattern):
    assert fits(name, pattern)


def test_case_counts():
    assert not fits("Kiln/a.jpg", "kiln/*")
    assert not fits(NFC, NFD.upper())


def test_the_name_itself_comes_first_and_one_that_could_be_two_is_none():
    assert same_name(NFD, {NFC, NFD}) == NFD
    assert same_name(NFC, {NFD, "other"}) == NFD
    assert same_name(NFD, {NFC}) == NFC
    assert same_name("a.jpg", {"b.jpg"}) is None
    assert same_name("ż.jpg", {"b.jpg"}) is None
    three = {"e\u0323\u0307.jpg", "e\u0307\u0323.jpg"}  # two orders of two marks, which form C makes one
    assert same_name(normalize("NFC", "e\u0323\u0307.jpg"), three) is None
