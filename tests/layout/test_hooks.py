"""Hooks by hand arithmetic, and in which order to hang."""

import re
from pathlib import Path

import pytest
from hypothesis import given, settings

from setsolver.layout import hanging_order, hung
from tests.layout.walls import SIZES, STAIR, WALL, gaps, planned, sizes

TABLE = Path(__file__).parents[1] / "data" / "hanging" / "conventions_and_safety.md"


def test_the_worked_example_of_the_trade():
    # tests/data/hanging/conventions_and_safety.md, "hook height": H = 20 in, wire 2 in below top, centre 57 -> 65 in
    row = re.search(r"H=(\d+) in, wire (\d+) in below top, centre (\d+) -> (\d+) in", TABLE.read_text("utf-8"))
    high, drop, centre, hook = map(int, row.groups())
    wall = {"unit": "inch", "width": 120, "height": 96, "centre": centre, "drop": drop}
    (frame,) = hung(planned("row", [(16 * 2.54, high * 2.54)], wall))
    assert frame.hooks[0].floor_cm / 2.54 == pytest.approx(hook)


def test_three_frames_on_a_wall_of_four_metres():
    # By hand. Prints 30 x 20, mount 5 and frame 2 on each side: 44 x 34. Three and two gaps of 5: 142 wide, so the set
    # begins 129 from the corner. Middles at 129 + 22 = 151, 151 + 49 = 200, 249. Centre 145: top edge 162, less 6: 156.
    wall = {"width": 400, "height": 250, "mount": 5, "frame": 2, "drop": 6}
    frames = hung(planned("row", [(30.0, 20.0)] * 3, wall))
    assert [frame.hooks for frame in frames] == [((151, 156),), ((200, 156),), ((249, 156),)]
    assert (frames[0].left_cm, frames[0].top_cm, frames[0].bottom_cm) == (129, 162, 128)


def test_two_hooks_lie_a_quarter_of_the_width_aside():
    (frame,) = hung(planned("row", [(80.0, 60.0)], {"width": 400, "height": 250, "hooks": 2}))
    assert [hook.left_cm for hook in frame.hooks] == [180, 220]  # 200 - 20, 200 + 20
    assert {hook.floor_cm for hook in frame.hooks} == {170}  # 145 + 30 - 5


def test_without_a_wall_distances_count_from_the_set():
    frames = hung(planned("row", [(30.0, 20.0)] * 2))
    assert [frame.hooks[0].left_cm for frame in frames] == [15, 50]
    assert {frame.hooks[0].floor_cm for frame in frames} == {150}


@settings(max_examples=20, deadline=None)
@given(prints=sizes, gap=gaps)
def test_hooks_lie_on_their_frame_a_drop_below_its_top(prints, gap):
    plan = planned("row", prints, {**WALL, "drop": 4, "hooks": 2}, gap_cm=gap)
    for frame in hung(plan):
        for hook in frame.hooks:
            assert frame.left_cm < hook.left_cm < frame.left_cm + frame.width_cm
            assert frame.top_cm - hook.floor_cm == pytest.approx(4)


def test_hanging_starts_in_the_middle_and_on_a_stair_at_its_lowest():
    assert hanging_order(planned("row", [(30.0, 20.0)] * 5)) == (3, 2, 4, 1, 5)
    left = {**WALL, "height": 800, "stair": {**STAIR, "up": "left"}}
    assert hanging_order(planned("steps", SIZES, left)) == (5, 4, 3, 2, 1)


def test_facing_pages_have_no_hooks():
    assert hung(planned("pair", [(14.0, 10.0)] * 2)) == ()
