"""Metadata through whole files: packets, sidecars, keywords, HEIC."""

import os
from datetime import datetime
from pathlib import Path

import pytest

from setsolver.catalog.metadata import said_scales
from setsolver.catalog.reader import read, read_shot
from setsolver.domain.measures import SCALES
from tests.catalog.pictures import exif, save, scene
from tests.catalog.test_xmp import packet

HEIC = Path(__file__).parents[1] / "data" / "metadata" / "jar.heic"


def keywords(*words):
    return f"<dc:subject><rdf:Bag>{''.join(f'<rdf:li>{word}</rdf:li>' for word in words)}</rdf:Bag></dc:subject>"


@pytest.mark.parametrize("name", ["a.jpg", "a.webp", "a.tif", "a.png"])
def test_embedded_packet_in_every_format(tmp_path, name):
    data = packet(keywords("kiln") + "<xmp:Rating>3</xmp:Rating>")
    path = tmp_path / name
    if name == "a.png":
        from PIL.PngImagePlugin import PngInfo  # noqa: PLC0415 - for this case alone

        info = PngInfo()
        info.add_itxt("XML:com.adobe.xmp", data.decode())
        save(path, pnginfo=info)
    elif name == "a.tif":
        save(path, tiffinfo={700: data})
    else:
        save(path, xmp=data)
    shot = read(path).shot
    assert (shot.rating, shot.keywords) == (3, ("kiln",))


def test_the_sidecar_wins_where_it_says_something(tmp_path):
    path = save(tmp_path / "a.jpg", xmp=packet(keywords("kiln") + "<xmp:Rating>3</xmp:Rating>"))
    sidecar = tmp_path / "a.xmp"
    sidecar.write_bytes(packet("<xmp:Rating>5</xmp:Rating>"))
    shot = read(path, sidecar=sidecar).shot
    assert (shot.rating, shot.keywords) == (5, ("kiln",))
    assert read_shot(path, sidecar=sidecar) == shot


USELESS = {
    "missing": (None, "cannot be read (No such file"),
    "empty": (b"", "no XML"),
    "broken": (b"<broken", "no XML"),
    "huge": (b"x" * 5_000_000, "more than 4 million bytes"),
    "folder": ("folder", "no regular file"),
    "pipe": ("pipe", "no regular file"),
    "device": ("/dev/zero", "no regular file"),
}


@pytest.mark.parametrize(("content", "note"), USELESS.values(), ids=USELESS)
def test_a_useless_sidecar_costs_nothing_and_is_noted(tmp_path, content, note):
    path = save(tmp_path / "a.jpg", xmp=packet(keywords("kiln")))
    sidecar = tmp_path / "a.xmp"
    if isinstance(content, bytes):
        sidecar.write_bytes(content)
    elif content == "folder":
        sidecar.mkdir()
    elif content == "pipe":
        os.mkfifo(sidecar)
    elif content is not None:
        sidecar.symlink_to(content)
    shot = read(path, sidecar=sidecar).shot
    assert shot.keywords == ("kiln",)
    assert note in shot.remark
    assert read_shot(path, sidecar=sidecar) == shot


def test_a_useful_sidecar_is_not_remarked_on(tmp_path):
    path, sidecar = save(tmp_path / "a.jpg"), tmp_path / "a.xmp"
    sidecar.write_bytes(packet())
    assert read(path, sidecar=sidecar).shot.remark == read(path).shot.remark == ""


def test_creation_date_stands_in_where_exif_has_none(tmp_path):
    created = "<xmp:CreateDate>2026-05-02T09:10:11-03:30</xmp:CreateDate>"
    shot = read(save(tmp_path / "a.jpg", xmp=packet(created))).shot
    assert (shot.time, shot.utc_offset) == (datetime(2026, 5, 2, 9, 10, 11), -210)  # noqa: DTZ001 - naive
    dated = exif(own={0x9003: "2026:05:01 08:00:00"})
    shot = read(save(tmp_path / "b.jpg", xmp=packet(created), exif=dated)).shot
    assert shot.time == datetime(2026, 5, 1, 8, 0, 0)  # noqa: DTZ001 - naive


def test_iptc_keywords(tmp_path):
    """Datasets 2:25 in an APP13 resource 0x0404 (IPTC-IIM 4.2, section 2; resource layout from memory)."""
    words = [b"kiln", "Töpfer".encode(), "Öfen".encode("latin-1")]
    datasets = b"".join(b"\x1c\x02\x19" + len(word).to_bytes(2, "big") + word for word in words)
    resource = b"Photoshop 3.0\x008BIM\x04\x04\0\0" + len(datasets).to_bytes(4, "big") + datasets
    resource += b"\0" * (len(datasets) % 2)
    segment = b"\xff\xed" + (len(resource) + 2).to_bytes(2, "big") + resource
    path = save(tmp_path / "a.jpg")
    data = path.read_bytes()
    path.write_bytes(data[:2] + segment + data[2:])
    assert read(path).shot.keywords == ("kiln", "Töpfer", "Öfen")


def test_heic_is_turned_once_and_knows_its_time():
    reading = read(HEIC)
    assert (reading.width, reading.height) == (96, 128)
    assert reading.rgb.shape == (128, 96, 3)
    assert reading.shot.time == datetime(2026, 5, 2, 9, 10, 11)  # noqa: DTZ001 - naive
    clay_left = reading.rgb[:, 10].astype(int).mean(0)
    sky_right = reading.rgb[:, -10].astype(int).mean(0)
    assert clay_left[2] < 100 < sky_right[2]  # rotated 90 degrees clockwise: sky at the right, clay at the left


def test_heic_under_another_name(tmp_path):
    path = tmp_path / "phone.jpg"
    path.write_bytes(HEIC.read_bytes())
    assert read(path).rgb.shape == (128, 96, 3)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["kiln", "Scale:Close"], ("close",)),
        ([" scale:wide "], ("wide",)),
        (["scale:huge"], ()),
        ([], ()),
        (["scale:close", "scale:wide", "Scale:Close"], ("wide", "close")),
    ],
)
def test_keywords_say_scales(words, said):
    assert said_scales(words, SCALES) == said


def test_damaged_exif_is_as_good_as_none(tmp_path):
    path = save(tmp_path / "a.jpg", scene(), exif=b"Exif\0\0II*\0\xff\xff\xff\xff" + b"\xff" * 40)
    shot = read(path).shot
    assert shot.time is None


def test_originals_are_opened_for_reading_only(tmp_path):
    path = save(tmp_path / "a.jpg", exif=exif(6))
    before = (path.read_bytes(), path.stat().st_mtime_ns)
    read(path)
    assert (path.read_bytes(), path.stat().st_mtime_ns) == before
