"""The wall in shares of the whole, its scale bar and its plan."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.output.view.wall import plan_drawing, scale_bar, wall
from tests.output.builders import brief, found


@given(st.floats(2, 5000))
def test_the_scale_bar_is_a_round_length_up_to_a_quarter(width):
    length = scale_bar(width)
    assert length <= width / 4 * (1 + 1e-12)
    assert length * 2.5 >= width / 4 * (1 - 1e-12)
    digits = f"{length:.6e}".split("e")[0].rstrip("0").rstrip(".")
    assert digits in {"1", "2", "5"}


@pytest.mark.parametrize("kind", ["row", "grid", "pair", "story"])
def test_shares_are_centimetres_over_the_whole(kind):
    wish = brief(5, layout={"kind": kind})
    one = wall(wish, found(wish, tuple("abcde")), 1000)
    for p in one.prints:
        assert p.share.left * one.plan.width_cm / 100 == pytest.approx(p.frame.position.x_cm)
        assert p.share.height * one.plan.height_cm / 100 == pytest.approx(p.frame.position.height_cm)
        assert p.finished.long_side == p.as_shot.long_side >= 160
    assert one.bar[0] * one.plan.width_cm / 100 == pytest.approx(one.bar[1])


@pytest.mark.parametrize("kind", ["row", "grid", "pair", "story"])
def test_the_plan_keeps_proportions_and_numbers_prints_in_order(kind):
    wish = brief(5, layout={"kind": kind})
    one = wall(wish, found(wish, tuple("abcde")), 1000)
    plan = plan_drawing(one)
    assert plan.width / plan.height == pytest.approx(one.aspect)
    assert max(plan.width / 400, plan.height / 230) == pytest.approx(1)
    assert [box.label for box in plan.boxes] == ["1", "2", "3", "4", "5"]
    for box in plan.boxes:
        assert box.x + box.width <= plan.width + 1e-9
        assert box.y + box.height <= plan.height + 1e-9
        assert plan.letters < box.height
