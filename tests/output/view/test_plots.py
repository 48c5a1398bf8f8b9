"""Plots of tones: marks, bands and rings lie where their values say."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.domain.tone_curve import reached
from setsolver.output.view.disc import CENTRE, RADIUS, disc
from setsolver.output.view.look import look_rows
from setsolver.output.view.panels import BOTTOM, TOP, panels, ticks
from tests.output.builders import brief, found

WISH = brief(tone={"reach": {"mid": 10}, "slack": {"mid": 2}})
SET = found(WISH, ("a.jpg", "b.jpg", "c.jpg"))


def unit(panel):
    """Drawing units for one L*, from the slack band."""
    wide = getattr(WISH.tone.slack, panel.axis)
    return panel.slack.height / (2 * wide)


@pytest.mark.parametrize("panel", panels(WISH, SET), ids=lambda p: p.axis)
def test_marks_are_as_far_from_the_look_as_their_tones(panel):
    for mark, frame in zip(panel.marks, SET.frames, strict=True):
        before, after = getattr(frame.tone, panel.axis), getattr(reached(frame.tone, frame.correction), panel.axis)
        assert (mark.before, mark.after) == (before, after)
        assert panel.look_y - mark.from_y == pytest.approx((before - panel.look) * unit(panel))
        assert panel.look_y - mark.to_y == pytest.approx((after - panel.look) * unit(panel))
        assert TOP <= mark.from_y <= BOTTOM
        assert TOP <= mark.to_y <= BOTTOM


def test_reach_lies_beyond_slack():
    mid = panels(WISH, SET)[1]
    assert mid.reach.height == pytest.approx(mid.slack.height * (10 + 2) / 2)
    assert mid.reach.top < mid.slack.top < mid.look_y


def test_a_mark_fits_where_it_ends_within_the_slack():
    mid = panels(WISH, SET)[1]  # 48, 45 + 2, 42 + 4 against 48 with slack 2
    assert [mark.fits for mark in mid.marks] == [True, True, True]
    black = panels(WISH, SET)[0]  # 8, 9 - 0.5, 10 - 1 against 8 with slack 1
    assert [mark.fits for mark in black.marks] == [True, True, True]
    narrow = brief(tone={"slack": {"mid": 0.5}})
    assert [mark.fits for mark in panels(narrow, SET)[1].marks] == [True, False, False]


@given(st.floats(0, 99), st.floats(1, 100))
def test_ticks_are_round_and_inside(low, span):
    high = min(low + span, 100)
    found_ticks = ticks(low, high)
    assert len(found_ticks) <= 6
    assert all(low - 1e-9 <= t <= high + 1e-9 for t in found_ticks)


def test_the_disc_holds_every_dot_and_square():
    plot = disc(WISH, SET)
    for dot in plot.dots:
        for x, y in ((dot.x, dot.y), (dot.to_x, dot.to_y)):
            assert (x - CENTRE) ** 2 + (y - CENTRE) ** 2 <= RADIUS**2 + 1e-6
    assert plot.rings[-1][0] == pytest.approx(RADIUS)


def test_yellow_is_up_and_red_is_right():
    plot = disc(WISH, SET)
    per_unit = plot.rings[-1][0] / plot.rings[-1][1]
    dot, frame = plot.dots[2], SET.frames[2]
    assert dot.x == pytest.approx(CENTRE + frame.tone.cast_a * per_unit)
    assert dot.y == pytest.approx(CENTRE - frame.tone.cast_b * per_unit)
    assert dot.to_y > dot.y  # its correction takes yellow away


def test_mono_has_no_disc_and_no_cast_in_its_look():
    mono = brief(tone={"treatment": "mono"})
    assert disc(mono, SET) is None
    assert len(look_rows(mono, SET)) == 3


def test_the_look_tells_slack_and_reach():
    assert look_rows(WISH, SET)[1] == ("Mid tone", "48.0", "\u00b1 2.0", "\u00b1 10.0")


@pytest.mark.parametrize(("low", "high", "wanted"), [
    (0, 5, [0, 1, 2, 3, 4, 5]), (0, 6, [0, 2, 4, 6]), (-3, 3.5, [0, 1, 2, 3]), (40, 52, [40, 45, 50]),
    (41, 70, [45, 50, 55, 60, 65, 70]), (96.5, 104, [97, 98, 99, 100]), (0, 100, [0, 20, 40, 60, 80, 100]),
    (0, 50, [0, 10, 20, 30, 40, 50]),
])  # fmt: skip
def test_ticks_are_as_close_as_six_of_them_can_be(low, high, wanted):
    assert ticks(low, high) == wanted


@pytest.mark.parametrize(("furthest", "rings"), [
    (9.9, [5, 10]), (10, [5, 10]), (10.1, [5, 10, 15]), (30, [5, 10, 15, 20, 25, 30]), (30.1, [10, 20, 30, 40]),
    (60, [10, 20, 30, 40, 50, 60]), (60.1, [20, 40, 60, 80]),
])  # fmt: skip
def test_rings_are_round_chromas_up_to_the_first_that_holds_the_furthest_dot(furthest, rings):
    wish = brief(tone={"reach": {"cast": 2}, "slack": {"cast": 1}})  # the square about the look ends 8.1 from grey
    far = found(wish, ("a.jpg", "b.jpg", "c.jpg"))
    odd = far.frames[0].model_copy(
        update={"tone": far.frames[0].tone.model_copy(update={"cast_a": 0.0, "cast_b": -furthest})}
    )
    plot = disc(wish, far.model_copy(update={"frames": (odd, *far.frames[1:])}))
    assert [chroma for _, chroma in plot.rings] == rings
    assert [radius for radius, _ in plot.rings] == pytest.approx([RADIUS * chroma / rings[-1] for chroma in rings])
    assert (plot.dots[0].x, plot.dots[0].y) == pytest.approx((CENTRE, CENTRE + RADIUS * furthest / rings[-1]))


def test_the_squares_of_slack_and_reach_lie_about_the_look():
    """By hand: the look at a* 1, b* 4; slack 1, and 2 beyond it; up is yellow."""
    plot = disc(brief(tone={"reach": {"cast": 2}, "slack": {"cast": 1}}), SET)
    unit = RADIUS / plot.rings[-1][1]
    assert plot.look_at == pytest.approx((CENTRE + unit, CENTRE - 4 * unit))
    assert tuple(plot.slack) == pytest.approx((CENTRE, CENTRE - 5 * unit, 2 * unit))
    assert tuple(plot.reach) == pytest.approx((CENTRE - 2 * unit, CENTRE - 7 * unit, 6 * unit))


def test_a_dot_fits_where_it_ends_within_the_slack_on_both_axes():
    """Casts b* 4, 5 - 0.5 and 6 - 1 against 4, all a* 1 against 1."""
    for slack, fits in ((1.0, [True, True, True]), (0.9, [True, True, False]), (0.4, [True, False, False])):
        assert [dot.fits for dot in disc(brief(tone={"slack": {"cast": slack}}), SET).dots] == fits


@pytest.mark.parametrize(("count", "labels"), [(12, range(1, 13)), (13, range(1, 14, 2)), (25, range(1, 26, 3))])
def test_marks_are_spread_over_the_field_and_at_most_twelve_are_numbered(count, labels):
    wish = brief(count)
    mid = panels(wish, found(wish, [f"{n:02}.jpg" for n in range(count)]))[1]
    assert [mark.label for mark in mid.marks if mark.label] == [str(n) for n in labels]
    assert [mark.x for mark in mid.marks] == pytest.approx([30 + 270 / count * (n + 0.5) for n in range(count)])


@pytest.mark.parametrize("panel", panels(WISH, SET), ids=lambda p: p.axis)
def test_all_tones_and_the_reach_lie_in_the_field_with_seven_per_cent_of_room_at_both_ends(panel):
    """Or half of an L* where that is more: ends of what is drawn are as far from the upper as from the lower edge."""
    ys = [y for mark in panel.marks for y in (mark.from_y, mark.to_y)]
    high, low = min(*ys, panel.reach.top), max(*ys, panel.reach.top + panel.reach.height)
    assert high - TOP == pytest.approx(BOTTOM - low)
    assert high - TOP == pytest.approx(max(0.07 * (low - high), 0.5 * unit(panel)))
