"""Words of a book's captions as lines of a width, in points; the typeface in the PDF against the font as it is."""

import re
from importlib.resources import files

import pikepdf
import pytest
from fontTools.ttLib import TTFont

from setsolver.output.album.typeface import Typeface, width_of, wrapped


def test_a_word_that_is_wider_than_a_line_begins_on_a_line_of_its_own_and_is_broken():
    room = width_of("mmmm", 10)
    lines = wrapped("a mmmmmmmmm b", 10, room)
    assert lines == ["a", "mmmm", "mmmm", "m b"]
    assert wrapped("mmmmmm", 10, room) == ["mmmm", "mm"]


def test_lines_hold_what_just_fits_and_no_more():
    room = width_of("one two", 10)
    assert wrapped("one two three", 10, room) == ["one two", "three"]
    assert wrapped("one two three", 10, room - 0.01)[:2] == ["one", "two"]
    assert wrapped("", 10, room) == []
    assert all(width_of(line, 10) <= room for line in wrapped("clay and water and fire " * 4, 10, room))


@pytest.fixture(scope="module", params=["Regular", "Semibold"])
def embedded(request):
    """A typeface in a PDF with some letters, and the whole font as fontTools reads it from its file."""
    pdf = pikepdf.new()
    face = Typeface(pdf, request.param, set("kiln 42\u2212\u00e9"))
    whole = TTFont(files("setsolver.output") / "assets" / "fonts" / f"SourceSansPro-{request.param}.otf")
    yield face, face.object, whole
    pdf.close()


def table(face_object):
    """Glyph numbers to characters, as the table to Unicode has them (ISO 32000-1, 9.10.3)."""
    lines = face_object.ToUnicode.read_bytes().decode().partition("endcodespacerange")[2].splitlines()
    pairs = [line.strip("<>").split("> <") for line in lines if line.startswith("<") and "> <" in line]
    return {int(one, 16): bytes.fromhex(two).decode("utf-16-be") for one, two in pairs}


def test_written_glyphs_lead_back_to_their_letters_and_what_is_missing_is_a_question_mark(embedded):
    face, written, _ = embedded
    letters = table(written)
    for text, read in (("kiln 42", "kiln 42"), ("\u00e9\u2212k", "\u00e9\u2212k"), ("k\u4e00k", "k?k")):
        codes = re.findall(rb"[0-9A-F]{4}", face.encoded(text))
        assert face.encoded(text) == b"<" + b"".join(codes) + b">"
        assert "".join(letters[int(code, 16)] for code in codes) == read


def test_every_glyph_is_as_wide_in_the_pdf_as_in_the_font(embedded):
    _, written, whole = embedded
    (descendant,) = written.DescendantFonts
    row = list(descendant.W)
    widths = {int(glyph): int(width[0]) for glyph, width in zip(row[::2], row[1::2], strict=True)}
    letters, known = table(written), whole.getBestCmap()
    assert set(letters.values()) == set("kiln 42\u2212\u00e9?")
    assert widths == {glyph: whole["hmtx"][known[ord(letter)]][0] for glyph, letter in letters.items()}


def test_the_descriptor_has_the_font_s_own_measures(embedded):
    """In thousandths of the size (ISO 32000-1, table 122); heights of hhea and OS/2, the stem of CFF's Private."""
    _, written, whole = embedded
    told = written.DescendantFonts[0].FontDescriptor
    assert (int(told.Ascent), int(told.Descent)) == (whole["hhea"].ascent, whole["hhea"].descent)
    assert int(told.CapHeight) == whole["OS/2"].sCapHeight
    assert int(told.StemV) == whole["CFF "].cff.topDictIndex[0].Private.StdVW
    left, low, right, high = (int(value) for value in told.FontBBox)
    assert left < right <= whole["head"].xMax
    assert low < 0 < high <= whole["head"].yMax


def test_a_line_is_as_wide_as_its_glyphs_at_its_size(embedded):
    face, _, whole = embedded
    known = whole.getBestCmap()
    thousandths = sum(whole["hmtx"][known[ord(letter)]][0] for letter in "kiln 42")
    assert width_of("kiln 42", 26, face.weight) == pytest.approx(thousandths / 1000 * 26)
