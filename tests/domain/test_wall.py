"""The wall as written: units, defaults, and what is refused."""

import pytest
from pydantic import ValidationError

from setsolver.domain.wall import WallWish


def test_everything_is_turned_into_centimetres():
    wall = WallWish(
        unit="inch",
        width=100,
        height=90,
        mount=2,
        frame=0.5,
        drop=3,
        clear=[{"left": 10, "width": 36, "height": 80, "what": "door"}],
        stair={"rise": 7, "run": 11, "up": "left"},
    ).in_cm()
    assert (wall.width_cm, wall.border_cm, wall.drop_cm, wall.drop_given) == pytest.approx((254, 6.35, 7.62, True))
    assert (wall.clear[0].left_cm, wall.clear[0].bottom_cm) == pytest.approx((25.4, 0))
    assert (wall.stair.foot_cm, wall.stair.slope) == pytest.approx((254, -7 / 11))


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"centre": 250}, "the centre line, 250, is not below the top of the wall, 240; lower centre"),
        (
            {"clear": [{"left": 350, "width": 90, "height": 200, "what": "door"}]},
            "door reaches 440 from the left and 200 from the floor, beyond the wall of 400 by 240",
        ),
        ({"width": -1}, "greater than 0"),
        ({"drop": float("nan")}, "finite"),
        ({"colour": "white"}, "Extra inputs"),
    ],
)
def test_what_does_not_hold_is_refused(changes, told):
    with pytest.raises(ValidationError, match=told):
        WallWish(**{"width": 400, "height": 240, **changes})


MARKED = {"file": "hall.jpg", "corners": [[0, 0], [90, 5], [88, 60], [1, 62]], "width": 10}


def test_a_photograph_of_the_wall_is_measured_in_the_wall_s_unit():
    wish = WallWish(unit="inch", width=100, height=90, photograph={**MARKED, "left": 1})
    found = wish.photograph.in_cm(wish.unit)
    assert (found.width, found.left, found.height) == (25.4, 2.54, None)


@pytest.mark.parametrize("corners", [[[0, 0], [0, 60], [90, 60], [90, 0]], [[0, 0], [90, 60], [90, 0], [0, 60]]])
def test_corners_that_go_round_the_other_way_or_cross_are_refused(corners):
    with pytest.raises(ValidationError, match="go round no rectangle"):
        WallWish(width=100, height=90, photograph={**MARKED, "corners": corners})
