"""Sidecars: new ones and merged ones, read back by exiv2 and exiftool."""

from pathlib import Path

import pytest
from lxml import etree

from setsolver.catalog.xmp import read_packet
from setsolver.output.metadata import Unmergeable, sidecar
from tests.output.metadata.readers import exiftool, exiv2, needs_exiftool, needs_exiv2

EXAMPLE = Path(__file__).parents[2] / "data" / "metadata" / "example_packet.xmp"
SQUARE = ((0.1, 0.2), (0.7, 0.2), (0.7, 0.6), (0.1, 0.6))
LEANING = ((0.1, 0.22), (0.7, 0.2), (0.72, 0.6), (0.12, 0.62))


def properties(data):
    root = etree.fromstring(data.split(b"?>", 1)[1] if data.startswith(b"<?xml ") else data)
    description = root.find(".//{*}Description")
    return {child.tag: etree.tostring(child, method="c14n") for child in description}


def test_a_new_one_says_rating_label_and_crop():
    data = sidecar(None, "hall", "1 of 3", SQUARE, 4)
    assert data.startswith(b'<?xml version="1.0" encoding="UTF-8"?>')
    assert read_packet(data.split(b"\n", 1)[1]).rating == 4
    assert b"chosen for hall" in data


def test_the_scan_reads_it():
    assert read_packet(sidecar(None, "hall", "1 of 3", SQUARE, 3)).rating == 3


def test_merging_loses_and_changes_nothing_of_others():
    before = properties(EXAMPLE.read_bytes())
    after = properties(sidecar(EXAMPLE.read_bytes(), "hall", "1 of 3", SQUARE, 2))
    region = "{http://iptc.org/std/Iptc4xmpExt/2008-02-29/}ImageRegion"
    assert set(after) == set(before)
    assert {k: v for k, v in after.items() if k != region} == {k: v for k, v in before.items() if k != region}
    assert after[region].count(b"crop-1") == 1
    assert after[region].count(b"setsolver-hall") == 1


def test_merging_twice_is_merging_once():
    once = sidecar(EXAMPLE.read_bytes(), "hall", "1 of 3", SQUARE, None)
    assert properties(sidecar(once, "hall", "1 of 3", SQUARE, None)) == properties(once)


def test_a_rating_and_a_label_of_somebody_else_stay():
    data = sidecar(EXAMPLE.read_bytes(), "hall", "1 of 3", SQUARE, 2)
    assert read_packet(data).rating == 4
    assert b"<xmp:Label>pick</xmp:Label>" in data


def test_our_own_label_follows_the_set():
    data = sidecar(sidecar(None, "hall", "1 of 3", SQUARE, None), "stairs", "2 of 9", SQUARE, None)
    assert b"chosen for stairs" in data
    assert b"chosen for hall" not in data


def test_properties_written_as_attributes_stay():
    before = b"""<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
    <rdf:Description rdf:about="" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmp:Rating="5" xmlns:o="urn:other" o:a="1">
    </rdf:Description></rdf:RDF></x:xmpmeta>"""
    data = sidecar(before, "hall", "1 of 3", SQUARE, 1)
    assert read_packet(data).rating == 5
    assert b'o:a="1"' in data


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"no XML", "no XML"),
        (b"<a><b></a>", "no XML"),
        (b"<a/>", "no RDF"),
        (b'<!DOCTYPE a [<!ENTITY e SYSTEM "file:///etc/hostname">]><a>&e;</a>', "document type"),
        (b"<!DOCTYPE a><x:xmpmeta xmlns:x='adobe:ns:meta/'/>", "document type"),
        (b"<a>" + b" " * 4_000_001 + b"</a>", "4 million"),
    ],
)
def test_what_cannot_be_read_is_not_merged(data, why):
    with pytest.raises(Unmergeable, match=why):
        sidecar(data, "hall", "1 of 3", SQUARE, 1)


@needs_exiftool
@pytest.mark.parametrize("before", [None, EXAMPLE.read_bytes()], ids=["new", "merged"])
def test_exiftool_reads_it(tmp_path, before):
    path = tmp_path / "a.xmp"
    path.write_bytes(sidecar(before, "hall", "1 of 3", LEANING, 4))
    found = exiftool(path)
    assert found["Rating"] == 4
    region = found["ImageRegion"][-1]
    assert region["RegionBoundary"]["RbShape"].lower() == "polygon"
    assert [(v["RbX"], v["RbY"]) for v in region["RegionBoundary"]["RbVertices"]] == list(LEANING)
    assert region["RRole"][0]["Identifier"][0].endswith("/recomCropping")
    assert region["RId"] == "setsolver-hall"
    if before:
        assert found["Subject"] == ["wall set 1", "hero"]
        assert len(found["ImageRegion"]) == 2


@needs_exiv2
def test_exiv2_reads_it(tmp_path):
    path = tmp_path / "a.xmp"
    path.write_bytes(sidecar(EXAMPLE.read_bytes(), "hall", "1 of 3", SQUARE, 4))
    found = exiv2(path)
    assert found["Xmp.xmp.Rating"] == "4"
    assert found["Xmp.dc.subject"] == "wall set 1, hero"
    boundary = "Xmp.iptcExt.ImageRegion[2]/Iptc4xmpExt:RegionBoundary/Iptc4xmpExt:"
    read = [float(found[boundary + key]) for key in ("rbX", "rbY", "rbW", "rbH")]
    assert read == pytest.approx([0.1, 0.2, 0.6, 0.4])
