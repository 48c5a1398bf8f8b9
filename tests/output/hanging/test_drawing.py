"""How much of a wall is drawn where nobody measured one."""

from setsolver.layout import hung
from setsolver.output.hanging.drawing import draw_wall
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
