"""Kinship: content, light, palette and time draw a set together; each alone, trivial, feasible and infeasible."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.domain.measures import CLIP_SIZE, Clip, Palette
from setsolver.domain.twins import SEEN, SHARES
from setsolver.domain.validate import best_look, score_terms
from setsolver.errors import BadBrief
from setsolver.rules import assemble, content, ledger, light, palette, times
from tests.rules.brute import valid_sets
from tests.rules.builders import START, make_brief, make_frame, make_snapshot

NOTHING = dict.fromkeys(("quality", "role", "composition", "rating", "variety", "tone"), 0.0)


def seen(frame, *place):
    """Return the frame with an embedding of CLIP that begins with these numbers."""
    vector, inner = np.zeros(CLIP_SIZE[0], np.float16), np.zeros(CLIP_SIZE[1], np.float16)
    vector[: len(place)] = place
    return replace(frame, measures=replace(frame.measures, clip=Clip(vector, inner, inner)))


def told(*frames):
    """Return a catalog of frames that nobody calls twins, and of which what CLIP says is known."""
    at = [frame.id for frame in frames if frame.measures.clip is not None]
    if not at:
        return make_snapshot(*frames)
    clips = np.stack([frames[i].measures.clip.embedding for i in at]).astype(np.float32)
    clips /= np.linalg.norm(clips, axis=1, keepdims=True)
    lite, clip = np.sqrt(SHARES)
    signatures = np.zeros((len(at), SEEN + clips.shape[1]), np.float32)
    signatures[:, : len(at)], signatures[:, SEEN:] = lite * np.eye(len(at)), clip * clips
    return replace(make_snapshot(*frames), signatures=lambda: (np.array(at), signatures))


def coloured(frame, *values):
    return replace(frame, measures=replace(frame.measures, palette=Palette(*values)))


def best_of(shots, weight, size=2, points=10.0, **changes):
    """Return the paths of the best set where one term alone pays, and the assembly."""
    wide = {"black": 100, "mid": 100, "white": 100, "cast": 100}
    brief = make_brief(
        size=size, weights=NOTHING | {weight: points}, tone={"reach": wide}, repeats={"twins": 1}, **changes
    )
    assembly = assemble(told(*shots), brief)
    found = max(valid_sets(assembly), key=lambda one: score_terms(assembly.problem, *one).score)
    return {assembly.renditions[row].frame.path for row in found[0]}, assembly, found


def lines_of(assembly, found, rule):
    return [line for line in ledger(assembly, *found) if line.rule == rule]


def test_content_trivial_frames_that_show_one_thing_cost_nothing():
    frames = [seen(make_frame(i), 1, 2) for i in range(3)]
    _, assembly, found = best_of(frames, "content")
    (line,) = lines_of(assembly, found, "content")
    assert line.points == 0
    assert "belongs together" in line.says


def test_content_feasible_the_stranger_stays_out_and_costs_where_it_is_in():
    frames = [seen(make_frame(0), 1, 0, 0.1), seen(make_frame(1), 0.9, 0.1), seen(make_frame(2), 0, 1)]
    paths, *_ = best_of(frames, "content")
    assert paths == {"frame-0000.jpg", "frame-0001.jpg"}
    _, assembly, found = best_of(frames, "content", frames={"include": ["frame-0002.jpg"]})
    (line,) = lines_of(assembly, found, "content")
    assert line.points < 0
    assert "stands apart most" in line.says


def test_content_infeasible_it_never_forbids_a_set():
    frames = [seen(make_frame(0), 1), seen(make_frame(1), 0, 1)]
    assert len(best_of(frames, "content")[0]) == 2


def test_content_beyond_near_is_no_nearer():
    """Two frames of one thing and one at 60 degrees, whose cosine of 0.5 is near enough: nobody is a stranger."""
    angles = np.radians([0, 5, 60])
    frames = [seen(make_frame(i), np.cos(a), np.sin(a)) for i, a in enumerate(angles)]
    _, assembly, found = best_of(frames, "content", size=3)
    apart = content.content_of(assembly.snapshot)
    strands = content.strands_of(np.stack([[np.cos(a), np.sin(a)] for a in angles]).astype(np.float32))
    assert apart == pytest.approx(
        np.minimum(np.cos(angles)[:, None] * strands[:, 0] + np.sin(angles)[:, None] * strands[:, 1], 0.4), abs=1e-3
    )
    assert lines_of(assembly, found, "content")[0].points == 0


def test_content_counts_what_lies_beyond_the_slack_by_hand():
    """Three frames at right angles are three strands; each belongs to its own by 0.4, to the others by 0.

    The set's place on every strand is best at 0.1, the slack above the two at 0; the third costs 0.4 - 0.1 less the
    slack.
    """
    frames = [seen(make_frame(i), *np.eye(3)[i]) for i in range(3)]
    _, assembly, found = best_of(frames, "content", size=3, points=10.0)
    assert lines_of(assembly, found, "content")[0].points == pytest.approx(-10 * 3 * 0.2, abs=1e-3)


@settings(deadline=None)
@given(st.integers(1, 30), st.integers(0, 99))
def test_content_has_few_axes_between_nothing_and_near_whatever_the_order(count, seed):
    rng = np.random.default_rng(seed)
    frames = tuple(seen(make_frame(i), *rng.normal(size=20)) for i in range(count))
    places = content.content_of(told(*frames))
    assert places.shape == (count, min(content.STRANDS, count))
    assert places.min() >= 0
    assert places.max() <= content.NEAR + 1e-6
    turned = content.content_of(told(*(replace(frame, id=i) for i, frame in enumerate(frames[::-1]))))
    assert np.sort(places, axis=1) == pytest.approx(np.sort(turned[::-1], axis=1), abs=1e-3)


def test_strands_are_unit_vectors_about_which_groups_gather():
    groups = np.repeat(np.eye(4, 6, dtype=np.float32), 5, axis=0)
    strands = content.strands_of(groups)
    assert len(strands) == 4  # no more strands than there are things
    assert np.abs(strands @ np.eye(6)[:4].T).max(axis=0) == pytest.approx(np.ones(4))
    assert np.linalg.norm(strands, axis=1) == pytest.approx(np.ones(4))


def test_a_large_catalog_is_sampled_over_its_whole_length():
    many = np.repeat(np.eye(3, dtype=np.float32), 5000, axis=0)
    assert len(content.strands_of(many)) == 3


def test_frames_that_clip_has_not_seen_lie_in_the_middle():
    assert content.content_of(told(make_frame(0), make_frame(1))).shape == (2, 0)
    places = content.content_of(told(seen(make_frame(0), 1), make_frame(1), seen(make_frame(2), 0, 1)))
    assert places[1] == pytest.approx(places[[0, 2]].mean(axis=0))
    assert not lines_of(*best_of([make_frame(0), make_frame(1)], "content")[1:], "content")


def lit(number, mid):
    return make_frame(number, look=(8.0, mid, 92.0, 0.0, 0.0))


def test_light_trivial_within_the_slack_nothing_is_lost():
    _, assembly, found = best_of([lit(0, 40), lit(1, 40 + 2 * light.SLACK)], "light")
    assert lines_of(assembly, found, "light")[0].points == pytest.approx(0)


def test_light_feasible_night_stays_out_of_noon():
    paths, *_ = best_of([lit(0, 60), lit(1, 15), lit(2, 55)], "light")
    assert paths == {"frame-0000.jpg", "frame-0002.jpg"}


def test_light_infeasible_it_costs_what_lies_beyond_the_slack_and_forbids_nothing():
    _, assembly, found = best_of([lit(0, 60), lit(1, 20)], "light", points=0.5)
    assert lines_of(assembly, found, "light")[0].points == pytest.approx(-0.5 * (40 - 2 * light.SLACK))


def test_palette_trivial_one_palette_costs_nothing():
    frames = [coloured(make_frame(i), 10, 20, 30) for i in range(2)]
    _, assembly, found = best_of(frames, "palette")
    assert [line.points for line in lines_of(assembly, found, "palette")] == [0, 0, 0]


def test_palette_feasible_the_colour_that_breaks_the_family_stays_out():
    palettes = [(10, 20, 30), (-30, 5, 32), (12, 18, 28)]
    paths, *_ = best_of([coloured(make_frame(i), *p) for i, p in enumerate(palettes)], "palette")
    assert paths == {"frame-0000.jpg", "frame-0002.jpg"}


def test_palette_infeasible_it_costs_each_axis_and_forbids_nothing():
    frames = [coloured(make_frame(0), 0, 0, 10), coloured(make_frame(1), 20, 0, 10)]
    _, assembly, found = best_of(frames, "palette", points=1.0)
    total = sum(line.points for line in lines_of(assembly, found, "palette"))
    assert total == pytest.approx(-(20 - 2 * palette.SLACK))
    says = [line.says for line in lines_of(assembly, found, "palette")]
    away = "2 frames lie more than 2 from it, the furthest is frame-0000.jpg, 10.0 greener"
    assert says == [
        f"green-red of the colours +10 (towards red): {away}",
        "blue-yellow of the colours 0 (neutral): all frames within 2 of it",
        "strength of the colours 10: all frames within 2 of it",
    ]


def test_palette_is_no_matter_in_mono_nor_where_none_is_known():
    frames = [coloured(make_frame(i), 10 * i, 0, 10) for i in range(2)]
    _, assembly, found = best_of(frames, "palette")
    assert lines_of(assembly, found, "palette")
    mono = assemble(make_snapshot(*frames), make_brief(size=2, tone={"treatment": "mono"}, weights={"palette": 5}))
    unknown = assemble(make_snapshot(make_frame(0), make_frame(1)), make_brief(size=2, weights={"palette": 5}))
    for one in (mono, unknown):
        assert not any(axis.term == "palette" for axis in one.parts.axes)


def taken(number, hours):
    return make_frame(number, time=START + timedelta(hours=hours))


def test_time_trivial_frames_of_one_moment_cost_nothing():
    _, assembly, found = best_of([taken(0, 0), taken(1, 0)], "time")
    assert lines_of(assembly, found, "time")[0].points == 0


def test_time_feasible_the_frame_of_another_day_stays_out():
    paths, *_ = best_of([taken(0, 0), taken(1, 30), taken(2, 1)], "time")
    assert paths == {"frame-0000.jpg", "frame-0002.jpg"}


def test_time_infeasible_it_counts_doublings_and_forbids_nothing():
    """3 hours apart from the middle is log2(1 + 3) = 2 on one side, 2 on the other."""
    assert times.doublings_of((taken(0, 0), taken(1, 3), taken(2, 6))) == pytest.approx([-2, 0, 2])
    _, assembly, found = best_of([taken(0, 0), taken(1, 6)], "time", points=1.0)
    assert lines_of(assembly, found, "time")[0].points == pytest.approx(-(4 - 2 * times.SLACK))


@pytest.mark.parametrize(
    ("hours", "words"),
    [
        ((0, 0.2, 0), "taken near each other"),
        ((0, 0, 6), "1 frame lies off the set's time, the furthest is frame-0002.jpg, 5.8 hours later"),
        ((0, 0.75, 1.75), "2 frames lie off the set's time, the furthest is frame-0002.jpg, 60 minutes later"),
        ((-72, 0, 0), "1 frame lies off the set's time, the furthest is frame-0000.jpg, 3.0 days earlier"),
    ],
)
def test_time_is_said_in_hours_as_a_clock_would(hours, words):
    """By hand: two frames hold the set's time within 0.3 doublings of theirs, 2^0.3 - 1 = 0.23 hours off."""
    _, assembly, found = best_of([taken(i, at) for i, at in enumerate(hours)], "time", size=3)
    assert lines_of(assembly, found, "time")[0].says == words


def test_time_is_no_matter_where_too_few_frames_have_one():
    timeless = [replace(frame, shot=replace(frame.shot, time=None)) for frame in (taken(0, 0), taken(1, 1))]
    assert times.doublings_of((*timeless, taken(2, 2))) is None


def test_a_kinship_has_a_look_that_costs_least():
    _, assembly, found = best_of([lit(0, 60), lit(1, 20), lit(2, 30)], "light", size=3)
    assert best_look(assembly.problem, found[0]) == pytest.approx(found[2])


def test_an_unknown_weight_is_still_told():
    with pytest.raises(BadBrief, match="pallete"):
        assemble(make_snapshot(make_frame(0)), make_brief(size=1, weights={"pallete": 3}))


def test_mono_trivial_a_shoot_of_one_kind_has_no_axis():
    frames = [coloured(make_frame(i), 5, 5, 20) for i in range(2)]
    assert not any(axis.term == "mono" for axis in best_of(frames, "mono")[1].parts.axes)
    both = [coloured(make_frame(0), 5, 5, 20), coloured(make_frame(1), 0, 0, 1)]
    prints = make_brief(size=2, tone={"treatment": "mono"})
    assert not any(axis.term == "mono" for axis in assemble(make_snapshot(*both), prints).parts.axes)


def test_mono_feasible_the_black_and_white_frame_stays_out_of_a_set_in_colour():
    frames = [coloured(make_frame(i), 5, 5, chroma) for i, chroma in enumerate([20, 1, 15])]
    paths, assembly, found = best_of(frames, "mono")
    assert paths == {"frame-0000.jpg", "frame-0002.jpg"}
    assert [line.says for line in lines_of(assembly, found, "mono")] == ["all of one kind"]


def test_mono_infeasible_it_costs_the_stranger_and_forbids_nothing():
    frames = [coloured(make_frame(i), 5, 5, chroma) for i, chroma in enumerate([20, 1, 15])]
    _, assembly, found = best_of(frames, "mono", size=3)
    (line,) = lines_of(assembly, found, "mono")
    assert (line.points, line.frames) == (-10, ("frame-0001.jpg",))
    assert line.says == "frame-0001.jpg black-and-white, the others not"
