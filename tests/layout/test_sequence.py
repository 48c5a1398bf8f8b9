"""The order that editors would choose: the best of all orders, by trying them all."""

from datetime import datetime
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.brief import Brief
from setsolver.layout import ArrangeItem, arrange
from setsolver.layout.sequence import STORY, WALL, Shown, Taste, in_sequence

weights = st.floats(-5, 5)
tastes = st.builds(Taste, *[weights] * len(Taste._fields))


@st.composite
def shown(draw):
    count = draw(st.integers(1, 6))
    numbers = np.array(draw(st.lists(st.floats(0, 1), min_size=7 * count, max_size=7 * count))).reshape(7, count)
    vectors = np.random.default_rng(draw(st.integers(0, 99))).normal(size=(count, 4))
    vectors /= np.linalg.norm(vectors, axis=1, keepdims=True)
    return Shown(*numbers, vectors @ vectors.T, draw(st.booleans()))


def worth(one, taste, order):
    """The sum as ``Taste`` words it, print by print."""
    count = len(order)
    line = [k / (count - 1) - 0.5 if count > 1 else 0.0 for k in range(count)]
    total = one.timed * sum(taste.time * line[k] * line[place] for place, k in enumerate(order))
    first, middle, last = order[0], order[count // 2], order[-1]
    total += taste.opens_wide * one.wide[first] + taste.opens_close * one.close[first]
    total += taste.opens_strong * one.appeal[first] + taste.opens_apart * (1 - one.alike[first].mean())
    total += taste.ends_light * one.tone[last] + taste.ends_strong * one.appeal[last]
    total += taste.ends_apart * (1 - one.alike[last].mean())
    total += sum(
        line[p] * (taste.later_people * one.people[k] + taste.later_ending * one.ending[k]) for p, k in enumerate(order)
    )
    total += taste.opens_seen * one.opening[first] + taste.ends_seen * one.ending[last]
    return total + count % 2 * (taste.apart * (1 - one.alike[middle].mean()) + taste.middle * one.appeal[middle])


@given(shown(), tastes)
def test_no_order_is_worth_more(one, taste):
    best = max(worth(one, taste, order) for order in permutations(range(len(one.wide))))
    found = in_sequence(one, taste)
    assert sorted(found) == list(range(len(one.wide)))
    assert worth(one, taste, found) == pytest.approx(best, abs=1e-5)


def plain(count):
    return Shown(*np.zeros((7, count)), np.eye(count))


def test_with_nothing_to_tell_them_apart_time_goes_on():
    for count in range(1, 8):
        assert in_sequence(plain(count), Taste(time=1.0)) == tuple(range(count))
    assert in_sequence(plain(0), STORY) == ()


def test_a_story_opens_with_the_widest_and_ends_with_the_strongest():
    wide, close = np.array([0.1, 0.2, 0.9]), np.array([0.8, 0.1, 0.0])
    appeal = np.array([0.2, 0.9, 0.3])
    order = in_sequence(Shown(wide, close, np.full(3, 0.5), appeal, *np.zeros((3, 3)), np.eye(3)), STORY)
    assert order == (2, 0, 1)


def test_a_story_saves_its_stronger_prints_for_later():
    """As judges rank orders: of prints alike in all else the strongest ends and the weakest opens."""
    assert in_sequence(plain(3)._replace(appeal=np.array([0.9, 0.1, 0.8]), timed=False), STORY) == (1, 2, 0)


def test_a_story_opens_on_what_looks_like_an_opening_and_ends_on_what_looks_like_an_ending():
    opening, ending = np.array([0.0, 0.5, 2.0]), np.array([0.0, 3.0, 2.5])
    assert in_sequence(plain(3)._replace(opening=opening, ending=ending), STORY) == (2, 0, 1)
    assert in_sequence(plain(3)._replace(opening=opening, ending=ending), WALL) == (0, 1, 2)


def test_a_story_goes_from_places_to_people_and_on_to_what_looks_like_an_ending():
    """As judges rank orders; what is not the last counts, too. On a wall neither has a side."""
    people, ending = np.array([0.9, 0.0, 0.5]), np.array([0.2, 0.0, 0.1, 0.3])
    assert in_sequence(plain(3)._replace(people=people, timed=False), STORY) == (1, 2, 0)
    assert in_sequence(plain(4)._replace(ending=ending), Taste(time=0.0, later_ending=1.0)) == (1, 2, 0, 3)
    assert in_sequence(plain(3)._replace(people=people, ending=ending[:3]), WALL) == (0, 1, 2)


def test_people_count_where_all_were_looked_at_for_them():
    """By names a, b, c; where people are told the one without any leads, where one is not told they count for none."""
    told = [item(path, content=ALIKE)._replace(people=chance) for path, chance in (("a", 0.9), ("b", 0.8), ("c", 0.0))]
    assert arrange(brief("story", 3), told).order == (2, 1, 0)
    assert arrange(brief("story", 3), [told[0], told[1]._replace(people=float("nan")), told[2]]).order == (0, 1, 2)


def test_a_wall_has_the_odd_one_in_the_middle():
    vectors = np.array([[0.0, 1.0], [1.0, 0.0], [1.0, 0.0]])
    assert in_sequence(Shown(*np.zeros((7, 3)), vectors @ vectors.T), WALL)[1] == 0


def item(path, hour=None, wide=0.1, content=None, appeal=float("nan")):
    time = None if hour is None else datetime(2024, 5, 1, hour)  # noqa: DTZ001 - capture times are local
    return ArrangeItem(path, "wide", time, 50.0, 1.5, wide=wide, appeal=appeal, content=content)


def seen(path, hour=None, wide=0.6, appeal=0.5):
    return item(path, hour, wide, content=np.array([1.0, 0.0]), appeal=appeal)


def brief(kind, size):
    return Brief(name="b", size=size, print_cm=40, layout={"kind": kind, "order": "sequence"})


def test_a_story_in_sequence_says_so_and_keeps_time_after_its_opening():
    frames = [item("c", 12), item("a", 9), item("b", 10), item("d", 17, wide=0.9)]
    arranged = arrange(brief("story", 4), frames)
    assert [frames[i].path for i in arranged.order] == ["d", "a", "b", "c"]
    assert arranged.plan.says.endswith(", in the order in which editors would show them")


def test_names_stand_in_where_a_time_is_missing():
    frames = [item("c", 9), item("a"), item("b", 10)]
    arranged = arrange(brief("story", 3), frames)
    assert [frames[i].path for i in arranged.order] == ["a", "b", "c"]


def test_a_long_story_is_put_in_sequence_too_and_frames_without_content_are_no_kin():
    frames = [item(f"{k:02}", 20 - k, wide=k / 20) for k in range(14)]
    assert arrange(brief("story", 14), frames).order == tuple(range(13, -1, -1))
    one = [item("a", 9, content=np.array([1.0, 0.0])), item("b", 10), item("c", 11, content=np.array([0.0, 1.0]))]
    assert arrange(brief("row", 3), one).order == (0, 1, 2)


@pytest.mark.parametrize(
    ("kind", "hours", "said"),
    [
        ("row", (9, 10, 11), ", in the order in which editors would show them"),
        ("row", (9, 10), ", in the order in which editors would show them"),
        ("grid", (9, 10, 11, 12, 13), ", in the order in which editors would show them"),
        ("story", (9, 10), ", opening wide and ending on a strong one"),
        ("story", (9, None), "on a strong one; not every frame has a time, so time does not count"),
    ],
)  # fmt: skip
def test_only_what_holds_is_said_of_the_order(kind, hours, said):
    frames = [seen(str(k), hour) for k, hour in enumerate(hours)]
    assert arrange(brief(kind, len(frames)), frames).plan.says.endswith(said)


ODD, ALIKE = np.array([0.0, 1.0]), np.array([1.0, 0.0])


@pytest.mark.parametrize("kind", ["row", "line", "column"])
def test_the_middle_is_said_to_be_odd_or_the_strongest_only_where_it_is(kind):
    def told(*prints):
        items = [item(str(k), 9 + k, content=content, appeal=appeal) for k, (content, appeal) in enumerate(prints)]
        return arrange(brief(kind, 3), items).plan.says

    assert told((ODD, 0.5), (ALIKE, 0.5), (ALIKE, 0.5)).endswith(", the odd one of them in the middle")
    assert told((ALIKE, 0.5), (ALIKE, 0.9), (ALIKE, 0.5)).endswith(", the strongest of them in the middle")
    a_little = np.array([0.98, np.sqrt(1 - 0.98**2)])  # the weak odd one yields the middle to a strong one
    assert told((a_little, 0.1), (ALIKE, 0.9), (ALIKE, 0.5)).endswith(", the strongest of them in the middle")
    between = np.array([0.9, 0.436, 0.0])  # less like the others than one of them, and not the odd one
    odd = np.array([0.1, -0.206, 0.973])
    assert told((np.array([1.0, 0, 0]), 0), (between, 1), (odd, 0)).endswith(", the strongest of them in the middle")
    assert told((ALIKE, 0.5), (ALIKE, 0.5), (ALIKE, 0.5)).endswith(", in the order in which editors would show them")


def test_a_story_is_not_said_to_open_wide_or_end_strong_where_it_does_not():
    narrow = [seen("a", 9, wide=0.4), seen("b", 10, wide=0.4)]
    assert arrange(brief("story", 2), narrow).plan.says.endswith("over all, ending on a strong one")
    early = [
        seen("a", 9),
        seen("b", 10)._replace(opening=30.0, appeal=0.9),
        seen("c", 11)._replace(ending=90.0, appeal=0.1),
    ]
    assert arrange(brief("story", 3), early).plan.says.endswith("over all, opening wide")
    neither = [one._replace(wide=0.1) for one in early]
    assert arrange(brief("story", 3), neither).plan.says.endswith(", in the order in which editors would show them")


def test_of_one_print_and_of_prints_that_nobody_looked_at_nothing_more_is_said():
    assert arrange(brief("row", 1), [seen("a", 9)]).plan.says.endswith("over all")
    blind = [item("a", 9), item("b", 10), item("c", 11)]
    assert arrange(brief("row", 3), blind).plan.says.endswith(", in the order in which editors would show them")
