"""Packets of prints, inside files, read back by exiv2 and exiftool."""

import numpy as np
import pytest

from setsolver.output.metadata import Kept, Said, print_packet
from setsolver.output.metadata.packet import Packet, name
from setsolver.render.save import Paper, load_profile, save
from tests.output.metadata.readers import exiftool, exiv2, needs_exiftool, needs_exiv2

WHOLE = ((0, 0), (1, 0), (1, 1), (0, 1))
SAID = Said(
    title="The hall",
    group="hall",
    place="2 of 3",
    source="0012.jpg",
    crop=(0.1, 0.2, 0.6, 0.5),
    degrees=-0.8,
    picture=WHOLE,
    tool="setsolver 0",
    made="2026-05-02T10:00:00+02:00",
    taken="2026-05-01T09:30:00.250000",
    rating=4.0,
    keywords=("kiln", "Töpfer & Söhne"),
)
CREATOR = b"""<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:g="urn:gps" g:place="secret"
 xmlns:xmpRights="http://ns.adobe.com/xap/1.0/rights/" xmlns:c="http://iptc.org/std/Iptc4xmpCore/1.0/xmlns/"
 xmpRights:Marked="True">
<dc:creator><rdf:Seq><rdf:li>Own Maker</rdf:li></rdf:Seq></dc:creator>
<dc:rights><rdf:Alt><rdf:li xml:lang="x-default">(c) Own Maker</rdf:li></rdf:Alt></dc:rights>
<xmpRights:WebStatement>https://example.org/licence</xmpRights:WebStatement>
<c:CreatorContactInfo rdf:parseType="Resource"><c:CiEmailWork>me@example.org</c:CiEmailWork></c:CreatorContactInfo>
</rdf:Description></rdf:RDF></x:xmpmeta>"""


@pytest.fixture(params=["tiff", "jpeg"])
def file(request, tmp_path):
    def make(kept, said=SAID):
        path = tmp_path / ("a.tif" if request.param == "tiff" else "a.jpg")
        codes = np.full((40, 60, 3), 117, np.uint16 if request.param == "tiff" else np.uint8)
        save(codes, path, Paper(request.param, load_profile(None), 300.0, 0, print_packet(kept, said)))
        return path

    return make


@needs_exiftool
def test_exiftool_reads_what_was_said(file):
    found = exiftool(file(Kept()))
    assert found["Title"] == "The hall, 2 of 3"
    assert found["Rating"] == 4
    assert found["Subject"] == ["kiln", "Töpfer & Söhne"]
    assert found["Source"] == "0012.jpg"
    assert found["CreateDate"] == "2026:05:01 09:30:00.250000"
    assert (found["Set"], found["Place"]) == ("hall", "2 of 3")
    assert found["ImageRegion"][0]["RegionBoundary"]["RbW"] == 1
    assert found["ProfileDescription"] == "sRGB"


@needs_exiftool
def test_exiftool_reads_the_creator_s_fields(file):
    found = exiftool(file(Kept((CREATOR,))))
    assert found["Creator"] == ["Own Maker"]
    assert found["Rights"] == "(c) Own Maker"
    assert found["WebStatement"] == "https://example.org/licence"
    assert found["Marked"] is True
    assert found["CreatorContactInfo"] == {"CiEmailWork": "me@example.org"}


@needs_exiv2
def test_exiv2_reads_it(file):
    found = exiv2(file(Kept((CREATOR,))))
    assert found["Xmp.dc.title"].endswith("The hall, 2 of 3")
    assert found["Xmp.dc.creator"] == "Own Maker"
    assert found["Xmp.xmp.Rating"] == "4"


def test_nothing_but_what_is_the_creator_s_is_taken_over():
    assert b"secret" not in print_packet(Kept((CREATOR,)), SAID)


def test_exif_speaks_where_xmp_does_not():
    packet = Packet(print_packet(Kept((CREATOR,), "Another", "(c) Another", "the kiln at dusk"), SAID))
    assert packet.find("dc:creator").findtext(f".//{name('rdf:li')}") == "Own Maker"
    assert packet.find("dc:description").findtext(f".//{name('rdf:li')}") == "the kiln at dusk"
    alone = Packet(print_packet(Kept((), "Another", "(c) Another"), SAID))
    assert alone.find("dc:creator").findtext(f".//{name('rdf:li')}") == "Another"
    assert alone.find("dc:rights").findtext(f".//{name('rdf:li')}") == "(c) Another"


def test_the_sidecar_wins_over_the_file_and_neither_is_doubled():
    sidecar = CREATOR.replace(b"Own Maker", b"New Name")
    packet = print_packet(Kept((CREATOR, sidecar)), SAID)
    assert packet.count(b"<dc:creator") == 1
    assert b"New Name" in packet
    assert b"Own Maker" not in packet
    assert packet.count(b"</xmpRights:WebStatement>") == 1


def test_a_broken_packet_of_an_original_says_nothing():
    assert b"The hall, 2 of 3" in print_packet(Kept((b"<broken",)), SAID)


def test_what_is_not_known_is_not_written():
    packet = print_packet(
        Kept(), Said("The hall", "hall", "1 of 1", "a.jpg", (0, 0, 1, 1), 0.0, WHOLE, "setsolver 0", "2026")
    )
    assert b"Rating" not in packet
    assert b"CreateDate" not in packet
    assert b"subject" not in packet
