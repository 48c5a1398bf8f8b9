"""Where a set hangs on its wall: by hand arithmetic, and what is said where it does not fit."""

import re
from pathlib import Path

import pytest

from setsolver.domain.plan import CENTRE_CM
from setsolver.domain.wall import DROP_CM, MARGIN_CM
from setsolver.errors import BadBrief
from tests.layout.walls import on_wall, planned

TABLE = Path(__file__).parents[1] / "data" / "hanging" / "conventions_and_safety.md"
THREE = [(30.0, 20.0)] * 3  # 30 + 5 + 30 + 5 + 30 = 100 cm


def test_a_row_hangs_in_the_middle_with_its_centre_line_at_the_default():
    plan = planned("row", THREE, {"width": 400, "height": 250})
    assert (plan.left_cm, plan.top_cm, plan.centre_cm) == (150, 155, 145)


def test_mount_and_frame_add_to_every_side_and_gaps_lie_between_frames():
    plan = planned("row", THREE, {"width": 400, "height": 250, "mount": 5, "frame": 2})
    assert (plan.width_cm, plan.height_cm) == (3 * 44 + 2 * 5, 34)
    assert [p.x_cm for p in plan.places] == [7, 56, 105]
    assert [p.width_cm for p in plan.places] == [30, 30, 30]


def test_a_door_moves_the_set_aside_just_far_enough():
    door = {"left": 150, "width": 80, "height": 200, "what": "door"}
    plan = planned("row", THREE, {"width": 400, "height": 250, "margin": 10, "clear": [door]})
    assert (plan.left_cm, plan.top_cm) == (240, 155)  # 150 + 80 + 10


def test_a_sofa_lifts_the_set_off_the_centre_line():
    sofa = {"left": 80, "width": 240, "height": 130, "what": "sofa"}
    plan = planned("row", THREE, {"width": 400, "height": 250, "margin": 15, "clear": [sofa]})
    assert (plan.left_cm, plan.top_cm) == (150, 165)  # lower edge at 130 + 15 = 145


def test_inches_are_turned_into_centimetres_exactly():
    # worked example of beecham.ca in the table: centre 57 inches, frame 20 inches high -> its top at 67 inches
    print_ = [(16 * 2.54, 20 * 2.54)]
    plan = planned("row", print_, {"unit": "inch", "width": 120, "height": 96, "centre": 57})
    assert plan.top_cm / 2.54 == pytest.approx(67)


def test_without_a_wall_only_heights_are_known():
    plan = planned("row", THREE)
    assert (plan.left_cm, plan.top_cm, plan.centre_cm, plan.wall) == (None, 155, 145, None)


def test_defaults_are_within_what_the_sources_say():
    # tests/data/hanging/conventions_and_safety.md, rows "centre line", "hook height" and "gap above sofa"
    table = TABLE.read_text("utf-8")
    low, high = map(float, re.search(r"centre line \| (\d+)-(\d+) cm \| homify", table).groups())
    assert low <= CENTRE_CM <= high
    below = float(re.search(r"wire (\d+) in below top", table).group(1))
    assert pytest.approx(below * 2.54, abs=0.1) == DROP_CM
    least, most = map(float, re.search(r"gap above sofa \| (\d+)-(\d+) in", table).groups())
    assert least * 2.54 <= MARGIN_CM <= most * 2.54


OTHERS = "lower layout.gap_cm (5), take fewer prints, or another layout.kind"


def complaint(kind, prints, wall, **layout):
    with pytest.raises(BadBrief) as caught:
        planned(kind, prints, wall, **layout)
    return str(caught.value)


def test_a_print_larger_than_the_wall_is_told():
    says = complaint("row", [(120.0, 80.0)], {"width": 100, "height": 250, "mount": 5})
    assert says.startswith("a print with its mount and frame takes 130.0 by 90.0 cm, but the wall is 100.0 by 250.0 cm")
    assert "it fits with print_cm = 90 or less" in says or "it fits with print_cm = 89.9 or less" in says


def test_a_set_wider_than_the_wall_is_told_with_what_fits():
    says = complaint("row", [(60.0, 40.0)] * 3, {"width": 160, "height": 250})
    assert says.startswith("the set takes 190.0 by 40.0 cm over all, but the wall is 160.0 by 250.0 cm")
    fits = float(re.search(r"print_cm = ([\d.]+) or less", says).group(1))
    assert 49 < fits <= 50  # 3 x 50 + 2 x 5 = 160
    planned("row", [(fits, fits * 2 / 3)] * 3, {"width": 160, "height": 250})


def test_openings_that_leave_no_place_are_named():
    window = {"left": 5, "bottom": 5, "width": 190, "height": 240, "what": "window"}
    says = complaint("row", THREE, {"width": 200, "height": 250, "clear": [window]})
    assert "finds no place on the wall that keeps window clear by 16.0 cm" in says
    assert says.endswith("not even small prints fit with this gap; " + OTHERS + ", or lower wall.margin")


def test_an_opening_between_two_frames_is_allowed():
    switch = {"left": 199, "bottom": 140, "width": 2, "height": 10, "what": "switch"}
    plan = planned("row", [(30.0, 20.0)] * 2, {"width": 400, "height": 250, "margin": 0, "clear": [switch]})
    assert [box[:2] for box in on_wall(plan)] == [(167.5, 197.5), (202.5, 232.5)]


def test_gaps_that_alone_are_too_wide_are_told():
    says = complaint("row", [(30.0, 20.0)] * 60, {"width": 200, "height": 250})  # 59 gaps of 5 cm are 295 cm
    assert says.endswith("not even small prints fit with this gap; " + OTHERS)
