"""Tone: one look for all, reach as a hard rule, effort beyond the slack as a cost, and corrections."""

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from setsolver.crops.rendered import _further
from setsolver.crops.warm_crops import cut_crops
from setsolver.domain.rendition import COLOUR_AXES, Look
from setsolver.domain.tone_wish import Slack
from setsolver.domain.validate import best_look, score_terms
from setsolver.rules import assemble, correction, ledger
from tests.rules.brute import paths_of
from tests.rules.builders import make_brief, make_frame, make_snapshot

GREY = (8.0, 48.0, 92.0, 0.0, 0.0)


def pair(second, **tone):
    frames = make_frame(0, look=GREY), make_frame(1, look=second)
    return assemble(make_snapshot(*frames), make_brief(size=2, tone=tone))


def test_trivial_frames_of_one_tone_cost_nothing():
    assembly = pair(GREY)
    look = best_look(assembly.problem, [0, 1])
    assert score_terms(assembly.problem, [0, 1], [1, 1], look).effort.sum() == pytest.approx(0)
    assert tuple(axis.name for axis in assembly.axes) == ("black", "mid", "white", "cast_a", "cast_b")


def test_feasible_effort_is_what_lies_beyond_both_slacks():
    # Mid tones 16 apart, slack 3 each: 10 L* are left for the two, at a point each.
    assembly = pair((8.0, 64.0, 92.0, 0.0, 0.0))
    rows = [next(i for i, r in enumerate(assembly.renditions) if r.frame.id == frame) for frame in (0, 1)]
    apart = abs(np.subtract(*assembly.problem.tone[rows, 1]))
    look = best_look(assembly.problem, rows)
    effort = score_terms(assembly.problem, rows, [1, 1], look).effort
    assert effort[:, 1].sum() == pytest.approx(apart - 6, abs=1e-9)
    line = next(line for line in ledger(assembly, rows, [1, 1], look) if line.says.startswith("mid tone"))
    assert line.points == pytest.approx(-(apart - 6))


def says(second):
    assembly = pair(second)
    rows = [next(i for i, r in enumerate(assembly.renditions) if r.frame.id == frame) for frame in (0, 1)]
    look = best_look(assembly.problem, rows)
    return [line.says for line in ledger(assembly, rows, [1, 1], look) if line.rule == "tone"]


def test_the_ledger_says_in_words_who_is_off_the_look_and_on_which_side():
    words = says((8.0, 64.0, 92.0, 0.0, 8.0))
    assert any(line.startswith("mid tone") and " more than 3 from it, the furthest is " in line for line in words)
    assert any(line.endswith((" lighter", " darker")) for line in words)
    assert any(line.startswith("blue-yellow cast +") and "(towards yellow)" in line for line in words)
    assert not any(" -" in line for line in words)


def test_a_look_without_a_cast_is_neutral():
    assert "green-red cast 0 (neutral): all frames within 1 of it" in says(GREY)


def test_infeasible_tones_out_of_reach():
    # Reach 8 and slack 3 on both sides: 22 L* at most between two mid tones.
    assert paths_of(pair((8.0, 68.0, 92.0, 0.0, 0.0)))
    assert paths_of(pair((8.0, 74.0, 92.0, 0.0, 0.0))) == set()


def test_both_cast_axes_share_the_brief():
    problem = pair(GREY, reach={"cast": 7}, slack={"cast": 2}).problem
    assert problem.tone_reach.tolist() == [4, 8, 6, 7, 7]
    assert problem.tone_slack.tolist() == [1, 3, 1, 2, 2]


def test_mono_has_no_cast():
    assembly = pair((8.0, 48.0, 92.0, 30.0, -30.0), treatment="mono")
    assert tuple(axis.name for axis in assembly.axes) == ("black", "mid", "white")
    assert paths_of(assembly)
    assert {(rendition.tone.cast_a, rendition.tone.cast_b) for rendition in assembly.renditions} == {(0.0, 0.0)}


looks = st.builds(
    Look,
    *(st.floats(0, 100) for _ in range(3)),
    *(st.floats(-40, 40) for _ in range(2)),
    st.floats(-3, 3),
    st.floats(0, 9),
)


@given(looks, looks)
def test_a_correction_ends_at_the_slack_and_never_beyond_the_look(look, tone):
    slack = Slack()
    after = [value + amount for value, amount in zip(tone, correction(look, tone, slack), strict=True)]
    for axis, value, before in zip(Look._fields, after, tone, strict=True):
        if axis not in COLOUR_AXES:
            assert value == before
            continue
        free = slack.cast if axis.startswith("cast") else getattr(slack, axis)
        away = abs(getattr(look, axis) - value)
        assert away <= max(free, 0) + 1e-9
        if abs(getattr(look, axis) - before) <= free:
            assert value == before


def test_a_correction_in_mono_leaves_the_cast():
    amounts = correction(Look(10, 60, 90), Look(5, 50, 95, 9, 9), Slack(black=1, mid=3, white=1, cast=1), "mono")
    assert amounts == Look(4, 7, -4, 0, 0)


def test_the_words_name_the_axis():
    assert pair(GREY).says("tone_reach[1]") == "reach of mid tone (8)"


@pytest.mark.parametrize(
    ("third", "words"),
    [
        (
            (8.0, 66.0, 92.0, 0.0, 0.0),
            r"mid tone 5\d: 1 frame lies more than 3 from it, the furthest is .*2\.jpg, .* lighter",
        ),
        (
            (8.0, 30.0, 92.0, 0.0, 0.0),
            r"mid tone 4\d: 1 frame lies more than 3 from it, the furthest is .*2\.jpg, .* darker",
        ),
        ((8.0, 48.0, 92.0, 9.0, 0.0), r"green-red cast \S+ \(.*\): 1 frame .* the furthest is .*2\.jpg, .* redder"),
        ((8.0, 48.0, 92.0, -9.0, 0.0), r"green-red cast \S+ \(.*\): 1 frame .* the furthest is .*2\.jpg, .* greener"),
        ((8.0, 48.0, 92.0, 0.0, 9.0), r"blue-yellow cast \S+ \(.*\): 1 frame .* the furthest is .*2\.jpg, .* yellower"),
        ((8.0, 48.0, 92.0, 0.0, -9.0), r"blue-yellow cast \S+ \(.*\): 1 frame .* the furthest is .*2\.jpg, .* bluer"),
    ],
)
def test_the_furthest_frame_is_named_with_its_side(third, words):
    frames = (make_frame(0, look=GREY), make_frame(1, look=GREY), make_frame(2, look=third))
    assembly = assemble(make_snapshot(*frames), make_brief(tone={"reach": {"mid": 40, "cast": 40}}))
    rows = [next(i for i, r in enumerate(assembly.renditions) if r.frame.id == frame) for frame in range(3)]
    lines = ledger(assembly, rows, [1, 1, 1], best_look(assembly.problem, rows))
    told = [line for line in lines if re.fullmatch(words, line.says)]
    assert [line.frames for line in told] == [("frame-0002.jpg",)], [line.says for line in lines]


FURTHER = {"reach": {"vignette": 0.6, "grain": 0.5}, "slack": {"vignette": 0.2, "grain": 0.1}}


def dressed(number, vignette, grain):
    plain = make_frame(number, look=GREY, grain=grain)
    return replace(plain, measures=replace(plain.measures, tone=plain.measures.tone._replace(vignette=vignette)))


def further(*frames, tone=FURTHER):
    return assemble(make_snapshot(*frames), make_brief(size=len(frames), tone=tone))


def largest(assembly):
    """The row of each frame's largest crop."""
    frames = {rendition.frame.id for rendition in assembly.renditions}
    return [next(i for i, r in enumerate(assembly.renditions) if r.frame.id == frame) for frame in sorted(frames)]


def test_trivial_vignette_and_grain_count_only_where_the_brief_names_them():
    frames = dressed(0, -0.2, 0.6), dressed(1, -3.0, 9.0)
    assert tuple(axis.name for axis in further(*frames, tone={}).axes) == COLOUR_AXES
    alike = further(dressed(0, -0.2, 0.6), dressed(1, -0.2, 0.6))
    assert tuple(axis.name for axis in alike.axes) == (*COLOUR_AXES, "vignette", "grain")
    rows = largest(alike)
    look = best_look(alike.problem, rows)
    assert score_terms(alike.problem, rows, [1, 1], look).effort.sum() == pytest.approx(0)


def test_feasible_what_lies_beyond_their_slack_is_effort_and_said():
    assembly = further(dressed(0, -1.0, 0.6), dressed(1, 0.0, 1.4))
    rows = largest(assembly)
    look = best_look(assembly.problem, rows)
    effort = score_terms(assembly.problem, rows, [1, 1], look).effort
    apart = np.abs(np.subtract(*assembly.problem.tone[rows, -2:]))
    assert effort[:, -2:].sum(axis=0) == pytest.approx(apart - (0.4, 0.2), abs=1e-9)
    says = [line.says for line in ledger(assembly, rows, [1, 1], look) if line.rule == "tone"][-2:]
    assert says[0].startswith("vignette \N{MINUS SIGN}0.")
    assert " EV" in says[0]
    assert says[0].endswith(("darker in the corners", "lighter in the corners"))
    assert says[1].startswith("grain ")
    assert says[1].endswith(("grainier", "cleaner"))


def test_infeasible_beyond_their_reach():
    assert paths_of(further(dressed(0, -1.5, 0.6), dressed(1, 0.0, 0.6)))  # 2 (0.6 + 0.2) is the most
    assert paths_of(further(dressed(0, -12.0, 0.6), dressed(1, 0.0, 0.6))) == set()
    assert paths_of(further(dressed(0, 0.0, 0.6), dressed(1, 0.0, 6.0))) == set()


def test_a_tighter_crop_has_less_falloff_and_more_grain():
    frame = dressed(0, -1.0, 0.5)
    frame = replace(frame, width=6000, height=4000)
    table = replace(cut_crops((frame,), [1.5]), pixels=np.array([[6000.0, 4000.0], [3000.0, 2000.0], [900.0, 600.0]]))
    whole, half, small = _further((frame,), table)
    assert whole == pytest.approx([-1.0, 0.5])
    assert half == pytest.approx([-0.25, 1.0])
    assert small[1] == pytest.approx(0.5 * 6000 / 1280)


@pytest.mark.parametrize("missing", ["reach", "slack"])
def test_both_amounts_are_needed(missing):
    tone = {kind: amounts for kind, amounts in FURTHER.items() if kind != missing}
    with pytest.raises(ValidationError, match=f"no {missing}; give both"):
        make_brief(size=2, tone=tone)
