"""The book's PDF, read by pikepdf and by poppler's programs (Debian: poppler-utils)."""

import re
import shutil
import subprocess
from decimal import Decimal
from io import BytesIO

import numpy as np
import pikepdf
import pytest
from PIL import Image

from setsolver.domain.plan import Placed
from setsolver.output.album import album_pdf, album_sheets, captions_left_out, overview_sheets
from setsolver.output.album.sheets import Picture, Rule, Sheet, Words
from setsolver.output.album.typeface import width_of
from tests.output.album.books import about, album, draw

POINT = 72 / 25.4
needs_poppler = pytest.mark.skipif(
    any(shutil.which(name) is None for name in ("pdffonts", "pdfimages", "pdfinfo", "pdftoppm", "pdftotext")),
    reason="poppler's programs are not installed (Debian: apt-get install poppler-utils)",
)


@pytest.fixture(scope="module")
def file(tmp_path_factory):
    path = tmp_path_factory.mktemp("book") / "album.pdf"
    album_pdf(path, album_sheets(album(), "A day & a night", "The potter"), draw, about(author="The potter"))
    return path


def said(*command):
    return subprocess.run([str(part) for part in command], check=True, capture_output=True, text=True).stdout


def test_boxes_lie_about_each_other_in_points(file):
    """By hand: 400 by 150 mm trimmed, 3 mm bleed about it; 1 mm = 72/25.4 points (ISO 32000-1, 14.11.2)."""
    with pikepdf.open(file) as pdf:
        assert len(pdf.pages) == 2
        for page in pdf.pages:
            media, bleed, trim = ([float(v) for v in page[name]] for name in ("/MediaBox", "/BleedBox", "/TrimBox"))
            assert media == bleed == pytest.approx([0, 0, 406 * POINT, 156 * POINT], abs=0.01)
            assert trim == pytest.approx([3 * POINT, 3 * POINT, 403 * POINT, 153 * POINT], abs=0.01)


def test_the_file_says_what_a_press_asks(file):
    """Keys of ISO 15930-7 (PDF/X-4), from memory: intent with profile, Trapped, XMP with ids, no encryption."""
    with pikepdf.open(file) as pdf:
        (intent,) = pdf.Root.OutputIntents
        assert intent.S == "/GTS_PDFX"
        assert intent.DestOutputProfile.read_bytes()[36:40] == b"acsp"  # ICC.1:2022, 7.2.9: the profile's signature
        assert int(intent.DestOutputProfile.N) == 3
        assert not pdf.is_encrypted
        assert str(pdf.docinfo["/Trapped"]) == "/False"
        assert pdf.pdf_version >= "1.6"
        packet = pdf.Root.Metadata.read_bytes().decode()
        for key in ("xmpMM:DocumentID", "xmp:CreateDate", "xmp:MetadataDate", "pdf:Trapped", "dc:title"):
            assert key in packet
        with pdf.open_metadata() as xmp:
            assert xmp["dc:title"] == "A day & a night"
        assert "GTS_PDFXVersion" not in packet  # sRGB is a display's profile, no printing condition


def test_a_printing_condition_makes_it_an_x4(tmp_path):
    profile = bytearray(about().srgb)
    profile[12:16] = b"prtr"
    album_pdf(tmp_path / "x4.pdf", album_sheets(album()), draw, about(intent=bytes(profile), condition="Press"))
    with pikepdf.open(tmp_path / "x4.pdf") as pdf:
        assert b"<pdfxid:GTS_PDFXVersion>PDF/X-4<" in pdf.Root.Metadata.read_bytes()
        assert str(pdf.Root.OutputIntents[0].OutputCondition) == "Press"


def test_every_colour_has_a_profile(file):
    with pikepdf.open(file) as pdf:
        for page in pdf.pages:
            for _, image in page.Resources.XObject.items():  # noqa: PERF102 - pikepdf 9.0 has no values()
                assert str(image.ColorSpace[0]) == "/ICCBased"
            content = page.Contents.read_bytes()
            assert not re.search(rb"(?<![\w.])(rg|RG|g|G|k|K)(?=\s)", content)


def test_chapters_are_bookmarks(file):
    with pikepdf.open(file) as pdf, pdf.open_outline() as outline:
        assert [item.title for item in outline.root] == ["Morning", "Evening \u2014 the kiln"]


def drawn(page):
    """Operators and their numbers, in centimetres from the lower left corner of the page (ISO 32000-1, 8.4.4, 8.5)."""
    for operands, operator in pikepdf.parse_content_stream(page):
        numbers = [float(one) * 2.54 / 72 for one in operands if isinstance(one, int | float | Decimal)]
        yield str(operator), numbers


def test_pictures_lie_where_the_sheet_has_them_and_are_cut_off_at_the_bleed(file):
    """By hand: 22 from the left and 3 from the top, 12 by 8, on a sheet of 40 by 15 with 3 mm of bleed about it."""
    with pikepdf.open(file) as pdf:
        for page, wanted in zip(pdf.pages, [(22.3, 15 - 3 - 8 + 0.3, 12, 8), (0, 0, 40.6, 15.6)], strict=True):
            by = dict(drawn(page))
            width, _, _, height, left, low = by["cm"]
            assert (left, low, width, height) == pytest.approx(wanted, abs=0.001)
            assert by["re"] == pytest.approx([0, 0, 40.6, 15.6], abs=0.001)


def test_rules_clips_and_words_lie_where_their_sheet_has_them(tmp_path):
    """By hand, from the lower left: a rule 2 from the left, 3 from the top, 4 by 1, on a sheet 15 high, 0.5 bleed."""
    clip = Placed(x_cm=1, y_cm=2, width_cm=6, height_cm=5)
    sheet = Sheet(
        20, 15, 0.5,
        pictures=(Picture((1, 0), Placed(x_cm=0, y_cm=1, width_cm=9, height_cm=6), clip),),
        words=tuple(Words("kiln", 8, 5, 10, align=align, grey=0.25) for align in ("left", "middle", "right")),
        rules=(Rule(Placed(x_cm=2, y_cm=3, width_cm=4, height_cm=1), 0.5), Rule(clip, 0.75, 2.0)),
    )  # fmt: skip
    album_pdf(tmp_path / "a.pdf", [sheet], draw, about())
    with pikepdf.open(tmp_path / "a.pdf") as pdf:
        found = list(drawn(pdf.pages[0]))
    boxes = [numbers for operator, numbers in found if operator == "re"]
    clipped = [1.5, 15 - 2 - 5 + 0.5, 6, 5]
    assert boxes == [pytest.approx(box, abs=0.001) for box in ([2.5, 15 - 3 - 1 + 0.5, 4, 1], clipped, clipped)]
    assert [operator for operator, _ in found if operator in {"f", "S", "n"}] == ["f", "S", "n"]
    greys = [[72 / 2.54 * one for one in numbers] for operator, numbers in found if operator in {"sc", "SC"}]
    assert greys == [pytest.approx([grey] * 3, abs=0.001) for grey in (0.5, 0.75, 0.25, 0.25, 0.25)]
    wide = width_of("kiln", 10) * 2.54 / 72
    places = [numbers for operator, numbers in found if operator == "Td"]
    assert places == [pytest.approx([8.5 - wide * part, 10.5], abs=0.001) for part in (0, 0.5, 1)]


@needs_poppler
def test_letters_are_embedded_as_a_subset_and_can_be_searched(file):
    rows = said("pdffonts", file).splitlines()[2:]
    assert rows
    for row in rows:
        assert re.match(r"[A-Z]{6}\+SourceSansPro-\w+ +CID Type 0C +Identity-H +yes yes yes", row)
    words = said("pdftotext", file, "-")
    for text in ("A day & a night", "The potter", "Bowls on the shelf"):
        assert text in words


@needs_poppler
def test_pictures_lie_at_their_pixels_an_inch(file):
    rows = [row.split() for row in said("pdfimages", "-list", file).splitlines()[2:]]
    assert [(row[5], row[8]) for row in rows] == [("icc", "jpeg")] * 2
    assert all(abs(int(row[at]) - 30) <= 1 for row in rows for at in (12, 13))


@needs_poppler
def test_a_picture_over_both_pages_is_printed_to_the_end_of_the_bleed_on_every_side(file):
    """Paper that shows beyond the trim is a white edge once a book is cut a little wrong."""
    done = subprocess.run(
        ["pdftoppm", "-r", "50.8", "-gray", "-f", "2", "-l", "2", str(file)], check=True, capture_output=True
    )
    page = np.asarray(Image.open(BytesIO(done.stdout)))
    edges = page[1], page[-2], page[:, 1], page[:, -2]
    assert all(np.median(edge) < 200 for edge in edges)
    assert all((edge > 250).mean() < 0.1 for edge in edges)


@needs_poppler
def test_a_screen_ends_at_the_trim(tmp_path):
    album_pdf(tmp_path / "screen.pdf", album_sheets(album()), draw, about(), marks=False)
    assert "Page size:       1133.86 x 425.197 pts" in said("pdfinfo", tmp_path / "screen.pdf")


def test_the_same_book_gives_the_same_bytes(file, tmp_path):
    album_pdf(
        tmp_path / "2.pdf", album_sheets(album(), "A day & a night", "The potter"), draw, about(author="The potter")
    )
    assert (tmp_path / "2.pdf").read_bytes() == file.read_bytes()


def test_a_caption_without_white_under_its_picture_is_told():
    assert captions_left_out(album()) == ("b.jpg",)
    assert captions_left_out(album(captions=("", ""))) == ()


def test_the_overview_names_every_spread_and_the_bound():
    sheets = overview_sheets(album(), "A day")
    words = " ".join(one.text for sheet in sheets for one in sheet.words)
    for text in ("quiet, quiet", "single, full", "2 spreads, 2 pictures, 250.5 points, proven best", "a.jpg", "240.0"):
        assert text in words
    assert sum(len(sheet.pictures) for sheet in sheets) == 2


def test_the_overview_draws_the_fold_in_the_middle_of_each_spread():
    rules = [rule.at for sheet in overview_sheets(album(), "A day") for rule in sheet.rules]
    folds = [at for at in rules if at.width_cm < 0.01]
    spreads = [at for at in rules if at.height_cm > 0 and at.width_cm > 5 and at.height_cm > 1]
    assert len(folds) == 2
    for fold in folds:
        about = next(at for at in spreads if at.y_cm == fold.y_cm and at.x_cm < fold.x_cm < at.x_cm + at.width_cm)
        assert fold.x_cm == pytest.approx(about.x_cm + about.width_cm / 2, abs=0.01)
