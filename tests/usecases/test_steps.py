"""Small changes of a brief: what is next to what it says now, and how far."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.geometry import parse_aspect
from setsolver.usecases.steps import MUCH_SMALLER, SMALLER, aspect_steps, print_steps, resolution_steps
from tests.rules.builders import make_brief


@pytest.mark.parametrize(
    ("aspect", "expected"),
    [
        ("3:2", ["4:3", "16:9"]),
        ("2:3", ["9:16", "3:4"]),
        ("1:1", ["5:4"]),
        ("7:5", ["4:3", "3:2"]),
        ("5:7", ["2:3", "3:4"]),
        ("3:1", ["2:1"]),
    ],
)
def test_the_aspects_on_either_side_are_named_as_they_lie_or_stand(aspect, expected):
    steps = list(aspect_steps(make_brief(aspect=aspect)))
    assert [step.value for step in steps] == expected
    now = parse_aspect(aspect)
    for step in steps:
        assert step.keys == {"aspect": step.value}
        assert step.says == f"at an aspect of {step.value}"
        assert (parse_aspect(step.value) <= 1) == (now < 1) or parse_aspect(step.value) >= 1
        assert step.far > 0


def test_an_aspect_is_as_far_as_the_eye_tells():
    """3:2 is 1.2 steps from 4:3: the logarithm of 9/8 in tenths."""
    first, _ = aspect_steps(make_brief(aspect="3:2"))
    assert first.far == pytest.approx(1.178, abs=0.001)


@pytest.mark.parametrize(
    ("now", "share", "expected"),
    [
        (30, SMALLER, [29, 28, 27]),
        (30.5, SMALLER, [30, 29, 28]),
        (8, SMALLER, [7.5]),
        (12, MUCH_SMALLER, [11, 10, 9, 8, 6, 5, 3.5, 2.5, 1]),
        (60, MUCH_SMALLER, [55, 50, 45, 40, 30, 24, 18, 12, 6]),
    ],
)
def test_prints_get_smaller_in_whole_centimetres(now, share, expected):
    """By hand: down to 9 or 6 tenths in about five steps, half centimetres below 10, then by tenths of the size."""
    steps = list(print_steps(make_brief(print_cm=now), share))
    assert [step.value for step in steps] == pytest.approx(expected)
    assert [step.far for step in steps] == pytest.approx([10 * (1 - cm / now) for cm in expected])


@given(st.floats(2, 200), st.sampled_from([SMALLER, MUCH_SMALLER]))
def test_every_step_is_smaller_than_the_one_before_it_and_none_is_nothing(now, share):
    sizes = [now, *(step.value for step in print_steps(make_brief(print_cm=now), share))]
    assert all(one > other > 0 for one, other in pairwise(sizes))


@given(st.floats(50, 600))
def test_fewer_pixels_are_fewer_and_a_whole_step_at_least(now):
    steps = list(resolution_steps(make_brief(min_ppi=now)))
    assert all(step.value < now and step.far >= 1 for step in steps)
    assert [step.value for step in steps] == sorted((step.value for step in steps), reverse=True)


def test_above_300_pixels_fewer_lose_nothing():
    """300 from 600 is the least step, 150 is half of what anybody sees: five tenths."""
    far = {step.value: step.far for step in resolution_steps(make_brief(min_ppi=600))}
    assert far[300] == 1
    assert far[150] == pytest.approx(5)
