"""What is drawn of a wall, in its centimetres and by hand, with y up from the floor."""

import pytest

from setsolver.layout import hung
from setsolver.output.hanging.drawing import Cross, Label, Line, Outline, draw_wall
from tests.output.builders import brief, outcome


def test_around_a_set_without_a_wall_there_is_as_much_on_either_side():
    plan = outcome(brief()).best.layout
    assert plan.wall is None
    drawing = draw_wall(plan)
    assert drawing.x == -40
    assert drawing.x + drawing.width == plan.width_cm + 40
    top = max(frame.top_cm for frame in hung(plan))
    assert drawing.height == max(220, top + 30)


def test_a_wall_that_was_measured_is_drawn_whole():
    plan = outcome(brief(wall={"width": 420, "height": 250, "frame": 2})).best.layout
    assert draw_wall(plan)[:3] == (0, 420, 250)


def of(kind, drawing):
    return [shape for shape in drawing.shapes if isinstance(shape, kind)]


def wall(**more):
    return {"width": 400, "height": 250, "mount": 5, "frame": 2, "drop": 6, **more}


def row(**more):
    return outcome(brief(3, aspect="3:2", print_cm=30, wall=wall(**more))).best.layout


def test_what_stays_clear_is_drawn_where_it_is_and_named_near_its_top():
    tall = {"what": "door", "left": 10, "width": 80, "height": 205}
    low = {"left": 300, "bottom": 20, "width": 60, "height": 12}
    drawing = draw_wall(row(clear=[tall, low]))
    boxes = [box for box in of(Outline, drawing) if box.style == "keep"]
    assert boxes == [Outline(10, 0, 80, 205, "keep"), Outline(300, 20, 60, 12, "keep")]
    names = {label.text: (label.x, label.y) for label in of(Label, drawing)}
    assert names["door"] == (50, 195)
    assert names["keep clear"] == (330, 26)  # in the middle of what is not 20 high


def test_frame_print_number_and_hooks_lie_in_one_another():
    drawing = draw_wall(row())
    frames, prints = ([box for box in of(Outline, drawing) if box.style == style] for style in ("frame", "print"))
    numbers = {label.text: label for label in of(Label, drawing)}
    for n, (frame, inner, cross) in enumerate(zip(frames, prints, of(Cross, drawing), strict=True), 1):
        assert inner[:4] == pytest.approx((frame.x + 7, frame.y + 7, 30, 20))
        assert (numbers[str(n)].x, numbers[str(n)].y) == pytest.approx((frame.x + 22, frame.y + 17))
        assert cross == pytest.approx((frame.x + 22, frame.y + 34 - 6))
    bare = draw_wall(outcome(brief()).best.layout)
    assert not [box for box in of(Outline, bare) if box.style == "print"]


def test_the_set_is_measured_from_both_ends_of_the_wall_under_its_lowest_frame():
    """By hand: three frames of 44 with gaps of 6 are 144; 128 are left on either side of 400."""
    drawing = draw_wall(row())
    low = min(box.y for box in of(Outline, drawing) if box.style == "frame") - 8
    measures = [line for line in of(Line, drawing) if line.style == "measure"]
    level = [line[:4] for line in measures if line.y1 == line.y2]
    assert level == [(0, low, 128, low), (128, low, 272, low), (272, low, 400, low)]
    assert [line[:4] for line in measures if line.x1 == line.x2] == [
        (at, low - 2, at, low + 2) for at in (0, 128, 128, 272, 272, 400)
    ]
    told = [label for label in of(Label, drawing) if "." in label.text]
    assert [(label.text, label.x, label.y) for label in told] == [
        ("128.0", 64, low - 5), ("144.0", 200, low - 5), ("128.0", 336, low - 5),
    ]  # fmt: skip
    (alone,) = (label for label in of(Label, draw_wall(outcome(brief()).best.layout)) if "." in label.text)
    assert alone.text == "162.0"  # three of 50 and two gaps of 6, without a wall


@pytest.mark.parametrize(("free", "told"), [(1.0, ["144.0"]), (1.1, ["1.1", "144.0", "1.1"])])
def test_ends_of_a_centimetre_are_not_measured(free, told):
    drawing = draw_wall(row(width=144 + 2 * free))
    assert [label.text for label in of(Label, drawing) if "." in label.text] == told


@pytest.mark.parametrize(("up", "foot", "steps"), [("right", 40, 20), ("left", 560, 20), ("right", 25, 20)])
def test_a_stair_climbs_from_its_foot_in_risers_and_treads_under_the_line_of_its_noses(up, foot, steps):
    """By hand: 560 or 575 cm of wall beyond the foot hold twenty treads of 28 cm; each riser is 17.5 high."""
    way = 1 if up == "right" else -1
    stair = {"rise": 17.5, "run": 28, "foot": foot, "up": up}
    plan = outcome(
        brief(3, aspect="3:2", print_cm=30, wall=wall(width=600, height=800, stair=stair), layout={"kind": "steps"})
    ).best.layout
    drawing = draw_wall(plan)
    noses, *risers_and_treads = (line for line in of(Line, drawing) if line.style == "stair")
    end = 600 if way == 1 else 0
    assert noses[:4] == pytest.approx((foot, 0, end, 17.5 / 28 * abs(end - foot)))
    assert len(risers_and_treads) == 2 * steps
    at, high = foot, 0.0
    for riser, tread in zip(risers_and_treads[::2], risers_and_treads[1::2], strict=True):
        assert riser[:4] == pytest.approx((at, high, at, high + 17.5))
        assert tread[:4] == pytest.approx((at, high + 17.5, at + way * 28, high + 17.5))
        at, high = at + way * 28, high + 17.5
    (centre,) = (line for line in of(Line, drawing) if line.style == "centre")
    heights = [plan.centre_cm + 17.5 / 28 * way * (x - foot) for x in (0, 600)]
    assert centre[:4] == pytest.approx((0, heights[0], 600, heights[1]))


def test_without_a_stair_floor_and_centre_run_along_the_wall():
    plan = row()
    floor, centre = (line for line in of(Line, draw_wall(plan)) if line.style in {"floor", "centre"})
    assert (floor[:4], centre[:4]) == ((0, 0, 400, 0), (0, plan.centre_cm, 400, plan.centre_cm))
