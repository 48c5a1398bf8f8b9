"""Order and places of sets: every print inside, none over another, gaps as the brief says."""

from datetime import datetime
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.brief import Brief
from setsolver.layout import ArrangeItem, arrange

EARLY, LATE = datetime(2024, 5, 1, 9), datetime(2024, 5, 1, 17)  # noqa: DTZ001 - capture times are local


def brief(kind="row", size=3, **layout):
    return Brief(name="b", size=size, print_cm=40, layout={"kind": kind, "gap_cm": 5, **layout})


def item(path, role="wide", time=None, tone=50.0, aspect=1.5):
    return ArrangeItem(path, role, time, tone, aspect)


items = st.lists(
    st.builds(
        ArrangeItem,
        st.text("abc", min_size=1),
        st.sampled_from(["wide", "medium", "close"]),
        st.none() | st.datetimes(datetime(1990, 1, 1), datetime(2030, 1, 1)),  # noqa: DTZ001
        st.floats(0, 100),
        st.floats(0.3, 3.0),
        long_cm=st.none() | st.floats(5, 90),
    ),
    min_size=1,
    max_size=24,
)
kinds = st.sampled_from(["row", "grid", "pair", "story"])


@given(items, kinds, st.none() | st.integers(1, 6), st.floats(0, 20))
def test_every_item_is_placed_once_inside_and_none_overlaps(frames, kind, columns, gap):
    arranged = arrange(brief(kind, len(frames), columns=columns, gap_cm=gap), frames)
    assert sorted(arranged.order) == list(range(len(frames)))
    for index, p in zip(arranged.order, arranged.placed, strict=True):
        assert p.x_cm >= -1e-9
        assert p.y_cm >= -1e-9
        assert p.x_cm + p.width_cm <= arranged.width_cm + 1e-9
        assert p.y_cm + p.height_cm <= arranged.height_cm + 1e-9
        assert max(p.width_cm, p.height_cm) == pytest.approx(frames[index].long_cm or 40)
    for a, b in combinations(arranged.placed, 2):
        beside = max(a.x_cm, b.x_cm) - min(a.x_cm + a.width_cm, b.x_cm + b.width_cm)
        above = max(a.y_cm, b.y_cm) - min(a.y_cm + a.height_cm, b.y_cm + b.height_cm)
        assert max(beside, above) >= gap - 1e-9


@given(items, kinds)
def test_prints_keep_the_aspect_of_their_crop(frames, kind):
    arranged = arrange(brief(kind, len(frames)), frames)
    for index, p in zip(arranged.order, arranged.placed, strict=True):
        assert p.width_cm / p.height_cm == pytest.approx(frames[index].aspect)


def test_by_role_from_wide_to_close_with_roles_of_ones_own_last():
    wish = Brief(
        name="b",
        size=4,
        roles={"kiln": {"count": [0, 4], "match": "keyword:kiln"}, "close": [0, 4], "wide": [0, 4], "medium": [0, 4]},
    )
    roles = ["kiln", "close", "medium", "wide"]
    arranged = arrange(wish, [item(str(i), role) for i, role in enumerate(roles)])
    assert [roles[i] for i in arranged.order] == ["wide", "medium", "close", "kiln"]


def test_a_story_is_in_order_of_time_whatever_the_brief_orders_by():
    frames = [item("x", time=None), item("b", time=LATE), item("a", time=EARLY)]
    assert arrange(brief("story", order="tone"), frames).order == (2, 1, 0)


def test_by_tone_from_light_to_dark():
    frames = [item("dark", tone=20), item("light", tone=80), item("between", tone=50)]
    assert arrange(brief(order="tone"), frames).order == (1, 2, 0)


def test_frames_without_a_time_are_said_in_an_order_of_time():
    frames = [item("a", time=LATE), item("b"), item("c", time=EARLY)]
    assert arrange(brief("story"), frames).plan.says.endswith("; 1 frame has no time and comes last")
    assert arrange(brief(order="time"), [*frames[:2], item("d")]).plan.says.endswith(
        "2 frames have no time and come last"
    )
    assert arrange(brief("story", size=2), [item("a"), item("b")]).plan.says.endswith(", by name: no frame has a time")
    assert "time" not in arrange(brief(order="role"), frames).plan.says


def test_ties_go_by_time_then_path():
    frames = [item("b", time=LATE), item("z", time=EARLY), item("a", time=LATE)]
    assert arrange(brief(order="role"), frames).order == (1, 2, 0)


def test_an_empty_set_has_an_empty_layout():
    assert arrange(brief(), []).placed == ()
