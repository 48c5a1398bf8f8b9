"""Roles: bounds, who can play what, and roles of one's own."""

from unicodedata import normalize

import numpy as np
import pytest

from setsolver.domain.measures import ScaleOdds
from setsolver.rules import assemble
from setsolver.rules.roles import LEAST_ODDS, matches
from setsolver.usecases.suggest import suggest
from tests.rules.brute import valid_sets
from tests.rules.builders import make_brief, make_frame, make_snapshot

PLAINLY_WIDE, PLAINLY_CLOSE = ScaleOdds(0.97, 0.02, 0.01), ScaleOdds(0.01, 0.02, 0.97)


def roles_of(frames, **roles):
    return assemble(make_snapshot(*frames), make_brief(size=2, roles=roles))


def test_trivial_without_roles_each_plays_what_it_is():
    assembly = assemble(make_snapshot(make_frame(0, PLAINLY_WIDE), make_frame(1, PLAINLY_CLOSE)), make_brief(size=2))
    assert {tuple(sorted(roles)) for _, roles, _ in valid_sets(assembly)} == {(0, 2)}


def test_feasible_bounds_hold_in_every_set():
    frames = [make_frame(i, scale) for i, scale in enumerate(["wide", "wide", "close"])]
    assembly = roles_of(frames, wide=[1, 1], close=[1, 1])
    assert {tuple(sorted(roles)) for _, roles, _ in valid_sets(assembly)} == {(0, 1)}


def test_infeasible_a_role_that_nobody_can_play():
    assembly = roles_of([make_frame(i, "wide") for i in range(3)], wide=[1, 1], close=[1, 1])
    assert not list(valid_sets(assembly))
    assert assembly.says("role_min[1]") == (
        "at least 1 close frame (no frame can; nearest is frame-0000.jpg, close by 2 %: "
        "frames --set frame-0000.jpg scale=close if you see it so)"
    )


def test_the_nearest_to_a_role_that_nobody_can_play_is_none_that_the_user_named():
    frames = [make_frame(0, ScaleOdds(0.93, 0.03, 0.04), said="wide"), make_frame(1, ScaleOdds(0.97, 0, 0.03))]
    assert "nearest is frame-0001.jpg, close by 3 %" in roles_of(frames, wide=[0, 2], close=[1, 1]).says("role_min[1]")


def test_odds_below_the_least_do_not_play():
    just, under = LEAST_ODDS + 0.01, LEAST_ODDS - 0.01
    frames = [make_frame(0, ScaleOdds(1 - just, 0, just)), make_frame(1, ScaleOdds(1 - under, 0, under))]
    problem = roles_of(frames, wide=[0, 2], close=[0, 2]).problem
    assert set(problem.frame[~np.isnan(problem.gain[:, 1])]) == {0}


def test_the_users_word_wins():
    frames = [make_frame(0, "wide", said="close"), make_frame(1, "wide")]
    gain = roles_of(frames, wide=[0, 2], close=[0, 2]).problem.gain
    assert np.isnan(gain[0]).tolist() == [True, False]


def test_a_frame_that_plays_no_role_is_ruled_out_with_the_reason():
    assembly = roles_of([make_frame(0, "wide"), make_frame(1, "wide"), make_frame(2, "close")], wide=[2, 2])
    assert [out.says for out in assembly.ruled_out] == ["1 frame cannot pass as wide"]
    assert assembly.reasons[2].startswith("it cannot pass as wide (wide 2 %, medium 4 %, close 94 %")


@pytest.mark.parametrize("match", ["keyword:KILN", "path:evening/*"])
def test_a_role_of_ones_own_takes_whom_it_matches_whatever_their_scale(match):
    kiln = make_frame(1, "close", path="evening/7.jpg", keywords=("Kiln", "fire"))
    assembly = roles_of([make_frame(0, "wide"), kiln], wide=[1, 1], kiln={"count": [1, 1], "match": match})
    assert {tuple(sorted(roles)) for _, roles, _ in valid_sets(assembly)} == {(0, 1)}
    assert assembly.parts.gains["role"][1, 1] == pytest.approx(1)


def test_a_role_of_ones_own_that_matches_nobody_says_so():
    roles = {"wide": [1, 2], "kiln": {"count": [1, 1], "match": "keyword:kiln"}}
    assembly = roles_of([make_frame(i, "wide") for i in range(2)], **roles)
    assert not list(valid_sets(assembly))
    assert 'no frame carries the keyword "kiln"' in assembly.says("role_min[1]")


def test_matching_of_keywords_ignores_case_and_takes_whole_words():
    frame = make_frame(0, keywords=("Kiln",), path="Yard/a.jpg")
    assert matches(frame, "keyword:kiln")
    assert not matches(frame, "keyword:kil")
    assert matches(frame, "path:Yard/*")
    assert not matches(frame, "path:yard/*")


def test_a_clash_counts_frames_of_a_role_alike_in_all_its_sentences():
    frames = [make_frame(n, "wide" if n < 6 else "close") for n in range(8)]
    brief = make_brief(roles={"wide": [0, 3], "close": [2, 3]}, frames={"exclude": ["frame-0006.jpg"]})
    outcome = suggest(make_snapshot(*frames), brief)
    says = {clash.rule: clash.says for clash in outcome.conflict}
    assert says["role_min[1]"] == "at least 2 close frames"
    assert says["gain[:,1]"] == "1 frame can be close"


def test_a_clash_says_once_that_nobody_can_play_a_role():
    frames = [make_frame(n, "wide") for n in range(8)]
    outcome = suggest(make_snapshot(*frames), make_brief(roles={"wide": [0, 3], "close": [1, 3]}))
    says = {clash.rule: clash.says for clash in outcome.conflict}
    assert says["role_min[1]"] == "at least 1 close frame"
    assert says["gain[:,1]"].startswith("no frame can be close; nearest is frame-0000.jpg, close by 2 %")
    keyword = {"wide": [0, 3], "kiln": {"count": [1, 3], "match": "keyword:kiln"}}
    outcome = suggest(make_snapshot(*frames), make_brief(roles=keyword))
    assert [clash.says for clash in outcome.conflict if clash.rule == "gain[:,1]"] == [
        'no frame carries the keyword "kiln"'
    ]


def test_a_match_takes_accents_in_either_form():
    """As macOS gives them to names, and keyboards to briefs (Unicode, UAX 15, forms D and C)."""
    frame = make_frame(0, path=normalize("NFD", "misa-é.jpg"), keywords=(normalize("NFD", "Żar"),))
    assert matches(frame, "path:*-é.jpg")
    assert matches(frame, "keyword:żar")
    assert not matches(frame, "path:*-É.jpg")
