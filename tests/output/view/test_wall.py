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


def test_pictures_have_three_pixels_to_two_of_the_screen_between_bounds():
    """By hand: the wall fills the width that is shown; the longer side of a print is its share of that."""
    wish = brief(5, layout={"kind": "row"})
    one = found(wish, tuple("abcde"))
    wide = wall(wish, one, 1000).plan.width_cm
    assert [p.finished.long_side for p in wall(wish, one, 1000).prints] == [round(50 / wide * 1000 * 1.5)] * 5
    assert {p.finished.long_side for p in wall(wish, one, 300).prints} == {160}
    assert {p.finished.long_side for p in wall(wish, one, 9000).prints} == {1100}
    tall = one.frames[0].model_copy(update={"position": one.frames[0].position.model_copy(update={"height_cm": 70})})
    taller = one.model_copy(update={"frames": (tall, *one.frames[1:])})
    assert wall(wish, taller, 1000).prints[0].finished.long_side == round(70 / wide * 1000 * 1.5)


def test_mount_and_moulding_lie_about_their_print():
    wish = brief(3, wall={"width": 400, "height": 250, "mount": 5, "frame": 2})
    one = wall(wish, found(wish, tuple("abc")), 1000)
    for p in one.prints:
        at = p.frame.position
        for share, around in ((p.mount, 5), (p.moulding, 7)):
            left, top = share.left * one.plan.width_cm / 100, share.top * one.plan.height_cm / 100
            assert (left, top) == pytest.approx((at.x_cm - around, at.y_cm - around))
            assert share.width * one.plan.width_cm / 100 == pytest.approx(at.width_cm + 2 * around)
            assert share.height * one.plan.height_cm / 100 == pytest.approx(at.height_cm + 2 * around)
    assert one.narrowest == pytest.approx(min(p.share.width for p in one.prints))
    bare = wall(brief(3), found(brief(3), tuple("abc")), 1000)
    assert {(p.mount, p.moulding) for p in bare.prints} == {(None, None)}
