"""What a finish writes beside prints and originals, and into prints."""

import shutil
from pathlib import Path

import pytest
import tifffile

from setsolver.usecases.finish_metadata import Sidecars, _new_beside
from tests.catalog.pictures import exif
from tests.usecases.finishing import catalog_of, frame, made, outcome_of, two_drawings

DATA = Path(__file__).parents[1] / "data"


@pytest.fixture
def shoot(tmp_path):
    return two_drawings(tmp_path)


def test_sidecars_are_written_into_a_folder_and_originals_keep_theirs(shoot, tmp_path):
    folder = shoot[0]
    shutil.copy(DATA / "metadata" / "example_packet.xmp", folder / "1.xmp")
    before = (folder / "1.xmp").read_bytes()
    document = made(shoot, tmp_path / "out", sidecars=Sidecars(tmp_path / "side"))
    assert (folder / "1.xmp").read_bytes() == before
    assert not (folder / "2.xmp").exists()
    assert [Path(p.sidecar).name for p in document.prints] == ["1.xmp", "2.xmp"]
    merged = (tmp_path / "side" / "1.xmp").read_bytes()
    assert b"wall set 1" in merged  # what was there
    assert b"setsolver-hall" in merged  # and ours


def test_sidecars_beside_originals_are_merged(shoot, tmp_path):
    folder = shoot[0]
    shutil.copy(DATA / "metadata" / "example_packet.xmp", folder / "1.jpg.xmp")
    (folder / "2.dng").write_bytes(b"a RAW of the same name")
    made(shoot, tmp_path / "out", sidecars=Sidecars(beside=True))
    assert b"wall set 1" in (folder / "1.jpg.xmp").read_bytes()
    assert b"setsolver-hall" in (folder / "1.jpg.xmp").read_bytes()
    assert not (folder / "1.xmp").exists()
    assert (folder / "2.jpg.xmp").is_file()  # 2.xmp could mean either file


def test_the_name_of_a_new_sidecar_means_one_file_only_whatever_letters_it_has(tmp_path):
    """Brackets, stars and question marks are letters of a name here, not a pattern of other files."""
    for name in ("a[1].jpg", "a[1].dng", "b[2].jpg", "b2.jpg", "c.jpg"):
        (tmp_path / name).write_bytes(b"")
    named = {name: _new_beside(tmp_path / name).name for name in ("a[1].jpg", "b[2].jpg", "b2.jpg", "c.jpg")}
    assert named == {"a[1].jpg": "a[1].jpg.xmp", "b[2].jpg": "b[2].xmp", "b2.jpg": "b2.xmp", "c.jpg": "c.xmp"}


def test_a_sidecar_that_is_no_xml_is_left_alone_and_said(shoot, tmp_path):
    (shoot[0] / "1.xmp").write_bytes(b"a letter")
    document = made(shoot, tmp_path / "out", sidecars=Sidecars(beside=True))
    assert (shoot[0] / "1.xmp").read_bytes() == b"a letter"
    assert "no XML" in document.notes[1]
    assert document.prints[0].sidecar is None


def test_a_print_carries_its_maker_its_set_and_its_place(tmp_path):
    folder = tmp_path / "catalog"
    block = exif()
    block[0x013B], block[0x8298] = "Own Maker", "(c) Own Maker"
    names = catalog_of(folder, 1, exif=block)
    one = made((folder, outcome_of(folder, [frame(names[0], time="2026-05-01T17:03:00")])), tmp_path / "out").prints[0]
    with tifffile.TiffFile(tmp_path / "out" / one.file) as file:
        packet = bytes(file.pages[0].tags["XMP"].value)
    for said in (b"Own Maker", b"Hall, 1 of 1", b"2026-05-01T17:03:00", b"1.jpg"):
        assert said in packet
