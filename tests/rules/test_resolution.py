"""Pixels for a print: arithmetic against a table of paper sizes, and the rule alone."""

import csv
from pathlib import Path

import pytest

from setsolver.domain.slot import pixels_needed
from setsolver.rules import assemble
from tests.rules.brute import paths_of
from tests.rules.builders import make_brief, make_frame, make_snapshot

# ISO 216:2007 A and B sizes and trade sizes with pixels at 300 ppi; the file's header and last column name sources.
SIZES = Path(__file__).parents[1] / "data" / "print" / "print_sizes.csv"
ROWS = list(csv.DictReader(line for line in SIZES.read_text("utf-8").splitlines() if not line.startswith("#")))


@pytest.mark.parametrize("row", ROWS, ids=[row["name"] for row in ROWS])
def test_pixels_of_paper_sizes(row):
    for edge in ("short", "long"):
        assert pixels_needed(float(row[f"{edge}_mm"]) / 10, 300) == int(row[f"px_{edge}_300"])


def test_a_whole_number_of_inches_is_not_rounded_up():
    assert pixels_needed(25.4, 300) == 3000
    assert pixels_needed(50.8, 150) == 3000


def test_the_long_edge_counts_whichever_it_is():
    frames = [make_frame(i, size=size) for i, size in enumerate([(3000, 2000), (2000, 3000), (2998, 2000)])]
    tall = {"aspect": "2:3", "role": "medium"}
    flat = {"aspect": "3:2", "role": "medium", "name": "flat"}
    found = assemble(make_snapshot(*frames), make_brief(size=2, print_cm=25.4, min_ppi=300, slot=[flat, tall]))
    assert set(found.problem.frame) == {0, 1}


def test_trivial_large_frames_stay():
    assert len(paths_of(assemble(make_snapshot(*(make_frame(i) for i in range(3))), make_brief(size=2)))) == 3


def test_feasible_small_frames_are_out_and_the_rest_makes_a_set():
    frames = [make_frame(0, size=(1500, 1000)), make_frame(1), make_frame(2)]
    assembly = assemble(make_snapshot(*frames), make_brief(size=2))
    assert paths_of(assembly) == {frozenset({"frame-0001.jpg", "frame-0002.jpg"})}
    assert "30 cm at 150 pixels per inch need 1772" in assembly.ruled_out[0].says


def test_tighter_crops_only_where_the_pixels_allow():
    # 1772 pixels are needed: 70 % of 2600 has them, half of it has not.
    assembly = assemble(make_snapshot(make_frame(0, size=(2600, 1733))), make_brief(size=1))
    assert sorted(round(rendition.crop.h, 2) for rendition in assembly.renditions) == [0.7, 1.0]
