"""Walls, sizes and plans for the tests of layouts."""

from hypothesis import strategies as st

from setsolver.domain.brief import Brief
from setsolver.layout import plan_for

SIZES = [(60.0, 40.0), (20.0, 30.0), (20.0, 30.0), (20.0, 30.0), (20.0, 30.0)]
STAIR = {"rise": 18, "run": 27}
WALL = {"width": 600, "height": 320, "mount": 4, "frame": 2}

sizes = st.lists(
    st.tuples(st.integers(10, 60), st.integers(10, 60)).map(lambda s: (float(s[0]), float(s[1]))),
    min_size=1,
    max_size=4,
)
gaps = st.integers(0, 12).map(float)


def brief(kind, count, wall=None, **layout):
    return Brief(name="b", size=count, layout={"kind": kind, "gap_cm": 5, **layout}, wall=wall)


def planned(kind, prints, wall=None, **layout):
    return plan_for(brief(kind, len(prints), wall, **layout), prints)


def on_wall(plan):
    """Outer rectangles from the wall's left corner and from the floor: left, right, bottom, top."""
    return [
        (
            plan.left_cm + f.x_cm,
            plan.left_cm + f.x_cm + f.width_cm,
            plan.top_cm - f.y_cm - f.height_cm,
            plan.top_cm - f.y_cm,
        )
        for f in plan.frames
    ]


def apart(a, b):
    """How far two rectangles (left, right, low, high) are apart along the axis that parts them; < 0 for an overlap."""
    return max(max(a[0], b[0]) - min(a[1], b[1]), max(a[2], b[2]) - min(a[3], b[3]))
