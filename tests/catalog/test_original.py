"""What an original's file says of its maker and of how it is stored."""

import pytest
from PIL import Image

from setsolver.catalog.original import Facts, facts_of, sidecar_of
from tests.catalog.pictures import dng, exif, save, scene

PACKET = b'<x:xmpmeta xmlns:x="adobe:ns:meta/"/>'


def told(**tags):
    """An Exif block with tags of TIFF 6.0, section 8, by their numbers there."""
    block = exif(6)
    numbers = {"description": 0x010E, "artist": 0x013B, "rights": 0x8298}
    for name, value in tags.items():
        block[numbers[name]] = value
    return block


def test_turn_maker_rights_description_and_packet_are_told(tmp_path):
    block = told(artist=" The potter ", rights="(c) The potter", description="The kiln")
    file = save(tmp_path / "a.webp", scene(64, 48), exif=block, xmp=PACKET)
    assert facts_of(file) == Facts(6, PACKET, "The potter", "(c) The potter", "The kiln")
    assert facts_of(save(tmp_path / "b.png", scene(64, 48))) == Facts()


@pytest.mark.parametrize(
    ("stored", "read"),
    [
        ("The potter\0The printer", "The potter; The printer"),
        (" \0The printer", "The printer"),
        ("The potter\0", "The potter"),
    ],
)
def test_the_two_parts_of_a_copyright_are_read_as_one_line(tmp_path, stored, read):
    """Photographer and editor, each ended by NUL; a blank for a photographer who is not told (Exif 2.32, 4.6.4)."""
    assert facts_of(save(tmp_path / "a.jpg", scene(64, 48), exif=told(rights=stored))).rights == read


@pytest.mark.parametrize("name", ["kiln.dng", "kiln.DNG"])
def test_a_raw_file_says_how_it_is_turned(tmp_path, name):
    (tmp_path / name).write_bytes(dng(b"", (40, 32), orientation=8))
    assert facts_of(tmp_path / name) == Facts(8)


@pytest.mark.parametrize("name", ["a.jpg", "a.nef", "a.tif"])
def test_what_cannot_be_read_says_nothing(tmp_path, name):
    (tmp_path / name).write_bytes(b"clay and water")
    assert facts_of(tmp_path / name) == Facts()
    Image.new("RGB", (8, 8)).save(tmp_path / "dot.png")
    assert facts_of(tmp_path / "dot.png") == Facts()


def test_a_sidecar_of_the_whole_name_goes_first(tmp_path):
    frame = tmp_path / "a.jpg"
    assert sidecar_of(frame) is None
    (tmp_path / "a.xmp").write_bytes(PACKET)
    assert sidecar_of(frame) == tmp_path / "a.xmp"
    (tmp_path / "a.jpg.xmp").mkdir()
    assert sidecar_of(frame) == tmp_path / "a.xmp"
    (tmp_path / "a.jpg.xmp").rmdir()
    (tmp_path / "a.jpg.xmp").write_bytes(PACKET)
    assert sidecar_of(frame) == tmp_path / "a.jpg.xmp"
