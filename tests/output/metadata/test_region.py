"""Regions against the table of orientations and the IPTC reference."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.output.metadata.packet import Packet, name
from setsolver.output.metadata.region import CROPPING, RECOMMENDED, add_region, stored_corners

DATA = Path(__file__).parents[2] / "data" / "metadata"
TABLE = (DATA / "exif_orientation.csv").read_text(encoding="utf-8").splitlines()
ROWS = list(csv.DictReader(line for line in TABLE if not line.startswith("#")))
SQUARE = ((0.125, 0.05), (0.875, 0.05), (0.875, 0.95), (0.125, 0.95))


def box(corners):
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)


@pytest.mark.parametrize("row", ROWS, ids=[row["value"] for row in ROWS])
def test_a_crop_finds_its_place_on_the_stored_picture(row):
    """The table's example: a stored 400 x 200 picture, rectangle .125 .25 .25 .5, as each orientation shows it."""
    x, y, w, h = (float(row[f"ex_{key}"]) for key in "xywh")
    seen = ((x, y), (x + w, y), (x + w, y + h), (x, y + h))
    assert box(stored_corners(seen, int(row["value"]))) == pytest.approx((0.125, 0.25, 0.25, 0.5))


@given(st.floats(0, 1), st.floats(0, 1))
def test_four_quarters_are_none(x, y):
    corners = ((x, y),)
    for _ in range(4):
        corners = stored_corners(corners, 1, 90)
    assert corners[0] == pytest.approx((x, y))


def test_a_quarter_clockwise_brings_the_stored_lower_left_to_the_upper_left():
    assert stored_corners(((0, 0),), 1, 90) == ((0, 1),)
    assert stored_corners(((0, 0),), 1, 180) == ((1, 1),)
    assert stored_corners(((0, 0),), 1, 270) == ((1, 0),)


def region(corners):
    packet = Packet()
    add_region(packet, "crop-1", "a crop", corners, RECOMMENDED)
    return packet


def test_a_rectangle_is_written_as_the_example_packet_has_it():
    """The region of tests/data/metadata/example_packet.xmp, its values and their names."""
    theirs = Packet((DATA / "example_packet.xmp").read_bytes()).array("Iptc4xmpExt:ImageRegion")[0]
    ours = region(SQUARE).array("Iptc4xmpExt:ImageRegion")[0]
    for tag in ("rbShape", "rbUnit", "rbX", "rbY", "rbW", "rbH"):
        path = f"{name('Iptc4xmpExt:RegionBoundary')}/{name(f'Iptc4xmpExt:{tag}')}"
        assert ours.find(path).text == theirs.find(path).text
    roles = [tree.find(f".//{name('xmp:Identifier')}//{name('rdf:li')}").text for tree in (ours, theirs)]
    assert roles[0] == roles[1]


def test_a_levelled_crop_is_a_polygon():
    turned = ((0.1, 0.12), (0.9, 0.1), (0.92, 0.9), (0.12, 0.92))
    found = region(turned).array("Iptc4xmpExt:ImageRegion")[0]
    assert found.find(f".//{name('Iptc4xmpExt:rbShape')}").text == "polygon"
    assert [v.text for v in found.iter(name("Iptc4xmpExt:rbX"))] == ["0.1", "0.9", "0.92", "0.12"]


def test_one_of_the_same_mark_makes_way_and_others_stay():
    packet = region(SQUARE)
    add_region(packet, "crop-2", "another", SQUARE, CROPPING)
    add_region(packet, "crop-1", "anew", SQUARE, CROPPING)
    marks = [item.find(name("Iptc4xmpExt:rId")).text for item in packet.array("Iptc4xmpExt:ImageRegion")]
    assert marks == ["crop-2", "crop-1"]


@pytest.mark.parametrize(("off", "shape"), [(0.0, "rectangle"), (0.9e-6, "rectangle"), (1.1e-6, "polygon")])
def test_a_crop_that_is_off_level_by_more_than_a_millionth_is_a_polygon(off, shape):
    for moved in range(8):
        corners = [list(corner) for corner in SQUARE]
        corners[moved // 2][moved % 2] += off
        found = region(tuple(map(tuple, corners))).array("Iptc4xmpExt:ImageRegion")[0]
        assert found.find(f".//{name('Iptc4xmpExt:rbShape')}").text == shape
