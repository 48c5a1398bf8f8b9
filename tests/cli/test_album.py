"""``setsolver album``: files, text, JSON, exit codes, and an album opened again."""

import json
import os
import re
import shutil
import subprocess
from dataclasses import replace
from io import BytesIO

import jsonschema
import numpy as np
import pikepdf
import pytest
from PIL import Image

from setsolver.errors import BadBrief, BadInput, FrameRefused
from setsolver.usecases import album_pictures
from setsolver.usecases.album_files import load_album, write_album
from setsolver.usecases.schemas import FOLDER
from tests.catalog.profiles import SRGB, rgb_profile
from tests.cli.conftest import run
from tests.cli.shoot import write_shoot

needs_programs = pytest.mark.skipif(
    any(shutil.which(name) is None for name in ("pdffonts", "pdfimages", "pdfinfo", "gs")),
    reason="programs that read PDFs are not installed (Debian: apt-get install poppler-utils ghostscript)",
)

BRIEF = """
name = "small-book"
title = "A day of pots"
min_ppi = 40
[album]
page_cm = [15, 12]
spreads = [2, 3]
density = [1, 2.5]
kinds = ["single", "quiet", "page", "lead-two"]
[tone]
reach = { black = 60, mid = 60, white = 60, cast = 60 }
[repeats]
twins = 1
"""


@pytest.fixture(scope="module")
def brief(tmp_path_factory):
    file = tmp_path_factory.mktemp("album-brief") / "small-book.toml"
    file.write_text(BRIEF, encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def book(scanned, brief, tmp_path_factory):
    """The folder of an album and the document that was printed; not to be changed."""
    out = tmp_path_factory.mktemp("books") / "book"
    code, text, _ = run("album", scanned, "--brief", brief, "--out", out, "--json")
    assert code == 0
    return out, json.loads(text)


def test_a_book_is_written_with_its_document(book):
    out, document = book
    assert sorted(file.name for file in out.iterdir()) == [
        "album.json",
        "album.pdf",
        "columns.npz",
        "cover.jpg",
        "overview.pdf",
        "screen.pdf",
    ]
    assert json.loads((out / "album.json").read_text()) == document
    jsonschema.validate(document, json.loads((FOLDER / "album.schema.json").read_text()))
    with pikepdf.open(out / "album.pdf") as pdf, pikepdf.open(out / "screen.pdf") as screen:
        assert len(pdf.pages) == len(screen.pages) == len(document["spreads"])


def test_pictures_are_never_above_need_nor_above_what_the_crop_has(book):
    out, document = book
    with pikepdf.open(out / "album.pdf") as pdf:
        for page, spread in zip(pdf.pages, document["spreads"], strict=True):
            images = [image for _, image in page.Resources.XObject.items()]
            assert len(images) == len(spread["frames"])
            for image, frame in zip(images, spread["frames"], strict=True):
                need = frame["place"]["width_cm"] / 2.54 * min(300, frame["ppi"])
                assert int(image.Width) == pytest.approx(need, abs=1.5)
                assert int(image.Width) <= frame["crop_width"] + 1


def test_pictures_are_converted_to_the_profile_that_is_printed_in(scanned, book, brief, tmp_path):
    """A profile of sRGB's primaries at gamma 1.8: codes of the pages differ from sRGB's, colours on a screen do not."""
    profile = bytearray(rgb_profile(SRGB, 1.8))
    profile[12:16] = b"prtr"  # ICC.1:2022, 7.2.5: the class of an output device
    file = tmp_path / "paper.icc"
    file.write_bytes(profile)
    code, text, _ = run("album", scanned, "--brief", brief, "--profile", file, "--out", tmp_path / "p", "--json")
    assert code == 0
    assert json.loads(text)["spreads"] == book[1]["spreads"]
    plain = book[0]
    for name, same in (("album.pdf", False), ("screen.pdf", True)):
        pairs = zip(pictures_in(plain / name), pictures_in(tmp_path / "p" / name), strict=True)
        for (one, own), (other, its) in pairs:
            away = np.abs(one.astype(float) - other.astype(float)).mean()
            assert (away < 5) == same, (name, away)
            assert (own == its) == same
    with pikepdf.open(tmp_path / "p" / "album.pdf") as pdf:
        assert pictures_in(tmp_path / "p" / "album.pdf")[0][1] == bytes(profile)
        assert pdf.Root.OutputIntents[0].DestOutputProfile.read_bytes() == bytes(profile)
        assert b"PDF/X-4" in pdf.Root.Metadata.read_bytes()


def pictures_in(file):
    """The pictures of a PDF as arrays, each with its profile."""
    with pikepdf.open(file) as pdf:
        return [
            (np.asarray(Image.open(BytesIO(image.read_raw_bytes()))), bytes(image.ColorSpace[1].read_bytes()))
            for page in pdf.pages
            for _, image in page.Resources.XObject.items()
        ]


@needs_programs
def test_the_book_passes_what_a_printer_looks_at_first(book):
    """Sizes by hand from the brief: 300 by 120 mm trimmed, 3 mm of bleed; read by poppler, ghostscript and qpdf's code.

    Lines of the first two: ``pdfinfo -box``, ``pdffonts`` and ``pdfimages -list`` (poppler-utils).
    """
    out, document = book
    file = out / "album.pdf"
    boxes = said("pdfinfo", "-box", "-f", "1", "-l", "9", file)
    found = {name: re.findall(rf"{name}:\s+([\d. ]+)", boxes) for name in ("MediaBox", "BleedBox", "TrimBox")}
    for name, (inset, width, height) in {"BleedBox": (0, 306, 126), "TrimBox": (3, 300, 120)}.items():
        for line in found[name]:
            left, low, right, high = (float(one) / 72 * 25.4 for one in line.split())
            assert (left, low) == pytest.approx((inset, inset), abs=0.02)
            assert (right - left, high - low) == pytest.approx((width, height), abs=0.02)
    assert len(found["TrimBox"]) == len(document["spreads"])
    assert found["MediaBox"] == found["BleedBox"]
    for line in said("pdffonts", file).splitlines()[2:]:
        assert line.split()[-5:-2] == ["yes", "yes", "yes"], line  # embedded, a subset, with unicode
    images = [line.split() for line in said("pdfimages", "-list", file).splitlines()[2:]]
    assert len(images) == sum(len(spread["frames"]) for spread in document["spreads"])
    for image in images:
        assert image[5] == "icc"
        assert 40 <= float(image[12]) <= 301  # min_ppi of the brief, --ppi
    with pikepdf.open(file) as pdf:
        syntax = pdf.check_pdf_syntax if hasattr(pdf, "check_pdf_syntax") else pdf.check  # its name in pikepdf 9
        assert syntax() == []
    drawn = subprocess.run(
        ["gs", "-q", "-dBATCH", "-dNOPAUSE", "-dPDFSTOPONERROR", "-sDEVICE=nullpage", file],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (drawn.returncode, drawn.stdout + drawn.stderr) == (0, "")


def said(*command):
    return subprocess.run([str(part) for part in command], check=True, capture_output=True, text=True).stdout


def test_an_album_is_opened_again_and_changed(book, tmp_path):
    out, document = book
    gone = document["spreads"][-1]["frames"][0]["path"]
    code, text, _ = run("album", out, "--bar", gone, "--lock", 1, "--no-pages", "--out", tmp_path / "again")
    assert code == 0
    assert "points before" in text
    after = json.loads((tmp_path / "again" / "album.json").read_text())
    paths = [frame["path"] for spread in after["spreads"] for frame in spread["frames"]]
    assert gone not in paths
    (kept,) = [spread for spread in after["spreads"] if spread["locked"]]
    assert [frame["path"] for frame in kept["frames"]] == [f["path"] for f in document["spreads"][0]["frames"]]
    assert sorted(file.name for file in (tmp_path / "again").iterdir()) == ["album.json", "columns.npz"]


def test_a_frame_that_crashes_its_decoder_ends_the_book_in_a_sentence(scanned, book, tmp_path, monkeypatch):
    real, album = album_pictures._jobs, load_album(book[0])
    bad = album.spreads[-1].frames[-1].path

    def killed(_record):
        os.kill(os.getpid(), 9)

    def jobs(*given):
        for key, job in real(*given):
            yield key, replace(job, packet=killed) if job.frame.path == bad else job

    monkeypatch.setattr(album_pictures, "_jobs", jobs)
    with pytest.raises(FrameRefused, match=f"{re.escape(bad)} cannot be printed: it crashes the decoder"):
        write_album(album, scanned, tmp_path / "again", apart=True)
    assert list(tmp_path.iterdir()) == []


def test_pictures_left_by_a_process_that_never_answered_make_way(scanned, book, tmp_path, monkeypatch):
    real, album = album_pictures.made, load_album(book[0])

    def left(jobs, wish, folder, *rest, **more):
        for job in jobs:
            (folder / f"{job.name}.jpg").write_bytes(b"left behind")
        yield from real(jobs, wish, folder, *rest, **more)

    monkeypatch.setattr(album_pictures, "made", left)
    write_album(album, scanned, tmp_path / "again", apart=False)
    assert (tmp_path / "again" / "album.pdf").stat().st_size > 10_000


def test_a_book_is_stopped_while_its_pictures_are_made(scanned, book, tmp_path):
    told = []

    def heed():
        if told:
            raise KeyError("stop")

    with pytest.raises(KeyError):
        write_album(
            load_album(book[0]),
            scanned,
            tmp_path / "again",
            apart=True,
            progress=lambda *at: told.append(at),
            heed=heed,
        )
    assert list(tmp_path.iterdir()) == []


def test_no_book_is_exit_code_1_with_a_way_out(scanned, tmp_path):
    code, text, _ = run("album", scanned, "--brief", "event-album", "--out", tmp_path / "book")
    assert code == 1
    assert "8 frames for at least 20 spreads; ask for 8 spreads or fewer under [album], or add frames" in text
    assert not (tmp_path / "book").exists()


def test_a_folder_in_the_catalog_is_refused(scanned, brief):
    with pytest.raises(BadInput, match="lies in the catalog"):
        run("album", scanned, "--brief", brief, "--out", scanned / "book")


def test_that_is_said_before_an_hour_of_measuring(brief, tmp_path):
    folder = write_shoot(tmp_path / "pottery", 2)
    with pytest.raises(BadInput, match="lies in the catalog"):
        run("album", folder, "--brief", brief, "--out", folder / "book")
    assert not (folder / ".setsolver").exists()


def test_a_profile_that_is_none_is_refused_before_anything_is_measured(brief, tmp_path):
    file = tmp_path / "paper.icc"
    file.write_text("none")
    with pytest.raises(BadInput, match=r"paper\.icc is no ICC profile"):
        run("album", tmp_path / "new", "--brief", brief, "--profile", file, "--out", tmp_path / "book")


def test_a_cluster_that_does_not_answer_leaves_no_folder(scanned, brief, tmp_path):
    with pytest.raises(BadInput, match="no Dask scheduler answers"):
        run("album", scanned, "--brief", brief, "--cluster", "127.0.0.1:1", "--out", tmp_path / "books")
    assert not (tmp_path / "books").exists()


def test_a_brief_for_prints_is_refused(scanned, tmp_path):
    with pytest.raises(BadBrief, match="wall-three is a brief for prints"):
        run("album", scanned, "--brief", "wall-three", "--out", tmp_path / "book")


def test_an_album_brief_makes_no_set(scanned, brief, tmp_path):
    with pytest.raises(BadBrief, match="make it with `setsolver album"):
        run("suggest", scanned, "--brief", brief, "--out", tmp_path / "set", "--no-open")


@pytest.mark.parametrize("asked", ["0", "9-3", "many"])
def test_numbers_of_spreads_that_are_none(scanned, brief, tmp_path, asked):
    with pytest.raises(BadInput, match="write a number from 1 to 200"):
        run("album", scanned, "--brief", brief, "--spreads", asked, "--out", tmp_path / "book")


def test_a_change_needs_an_album_and_an_album_a_change(scanned, book, brief, tmp_path):
    with pytest.raises(BadInput, match="speak of an album that is there"):
        run("album", scanned, "--brief", brief, "--lock", 1, "--out", tmp_path / "book")
    with pytest.raises(BadInput, match="nothing to change"):
        run("album", book[0], "--out", tmp_path / "book")


@pytest.mark.slow
def test_many_folders_give_an_album_each_and_a_page_that_lists_them(scanned, brief, tmp_path):
    folders = [shutil.copytree(scanned, tmp_path / name) for name in ("first", "second")]
    code, text, _ = run("album", *folders, "--brief", brief, "--no-pages", "--workers", 1, "--out", tmp_path / "books")
    assert code == 0
    assert "2 made" in text
    books = [json.loads((tmp_path / "books" / name / "album.json").read_text()) for name in ("first", "second")]
    for name, book in zip(("first", "second"), books, strict=True):
        line = next(line.split() for line in text.splitlines() if line.split()[:1] == [name])
        assert line[1:3] == [str(len(book["spreads"])), f"{book['score']:.1f}"]
    code, text, _ = run("album", *folders, "--brief", brief, "--no-pages", "--workers", 1, "--out", tmp_path / "books")
    assert (code, "2 kept as they were" in text) == (0, True)


def test_what_many_folders_cannot_have_is_said_before_anything_is_measured(scanned, brief, tmp_path):
    out = ("--out", tmp_path / "books")
    with pytest.raises(BadInput, match="splits one archive; name one folder"):
        run("album", scanned, tmp_path, "--by-chapter", "--brief", brief, *out)
    with pytest.raises(BadInput, match="speak of one album; name one folder"):
        run("album", scanned, tmp_path, "--lock", 1, "--brief", brief, *out)
    with pytest.raises(BadBrief, match="wall-three is a brief for prints"):
        run("album", scanned, tmp_path, "--brief", "wall-three", *out)
    assert list(tmp_path.iterdir()) == []
