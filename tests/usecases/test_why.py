"""Why a frame is in, or what it would cost: checked against the solver asked directly."""

import pytest

from setsolver.errors import NoSuchFrame
from setsolver.rules import assemble
from setsolver.solver import solve
from setsolver.usecases.suggest import suggest
from tests.rules.builders import make_brief, make_frame, make_shoot, make_snapshot
from tests.usecases.asked import why

ROLES = {"wide": [1, 1], "medium": [1, 1], "close": [1, 1]}


@pytest.fixture
def shoot():
    return make_shoot(12)


def test_a_chosen_frame_is_explained_by_its_lines_and_by_the_best_set_without_it(shoot):
    brief = make_brief(roles=ROLES)
    best = suggest(shoot, brief).sets[0]
    path = best.frames[0].path
    answer = why(shoot, brief, best, path)
    without = solve(assemble(shoot, brief).problem.replaced(exclude=[shoot.by_path(path).id])).best
    assert answer["in_set"]
    assert answer["points"] == pytest.approx(best.score - without.score)
    assert {line["rule"] for line in answer["lines"]} >= {"quality", "role"}


def test_another_frame_costs_what_the_best_set_with_it_loses(shoot):
    brief = make_brief(roles=ROLES)
    best = suggest(shoot, brief).sets[0]
    path = next(f.path for f in shoot.frames if f.path not in {m.path for m in best.frames})
    answer = why(shoot, brief, best, path)
    assert not answer["in_set"]
    assert answer["points"] >= 0
    assert path in answer["enter"]
    assert path in [frame["path"] for frame in answer["instead"]["frames"]]


def test_the_terms_that_cost_the_points_are_named_and_add_up(shoot):
    brief = make_brief(roles=ROLES)
    best = suggest(shoot, brief).sets[0]
    path = next(f.path for f in shoot.frames if f.path not in {m.path for m in best.frames})
    answer = why(shoot, brief, best, path)
    assert -sum(answer["terms"].values()) == pytest.approx(answer["points"], abs=1e-6)
    dearest = min(answer["terms"], key=answer["terms"].get)
    assert f"By term: {dearest} loses" in answer["says"]
    assert all(path in line["frames"] for line in answer["lines"])
    assert answer["lines"]


def test_a_frame_that_was_ruled_out_says_by_what_and_what_the_best_set_with_it_would_score():
    shoot = make_snapshot(*(make_frame(i) for i in range(4)), make_frame(4, size=(300, 200)))
    brief = make_brief()
    answer = why(shoot, brief, suggest(shoot, brief).sets[0], "frame-0004.jpg")
    assert answer["points"] is not None
    assert "frame-0004.jpg is in at your wish (include), although its largest crop has 300 pixels" in answer["says"]


def test_a_frame_that_no_set_can_hold_names_the_clash():
    frames = [make_frame(0, "wide"), make_frame(1, "medium"), make_frame(2, "close")]
    odd = make_frame(3, "wide", look=(40.0, 70.0, 99.0, 0.0, 0.0))
    shoot, brief = make_snapshot(*frames, odd), make_brief(roles=ROLES)
    answer = why(shoot, brief, suggest(shoot, brief).sets[0], odd.path)
    assert answer["points"] is None
    assert answer["conflict"]


def test_an_unknown_frame_is_refused_with_the_nearest_names(shoot):
    brief = make_brief()
    with pytest.raises(NoSuchFrame, match=r"frame-000.*did you mean"):
        why(shoot, brief, suggest(shoot, brief).sets[0], "frame-000.jpg")


def test_a_frame_that_the_brief_excludes_says_so(shoot):
    brief = make_brief(frames={"exclude": ["frame-0003.jpg"]})
    answer = why(shoot, brief, suggest(shoot, brief).sets[0], "frame-0003.jpg")
    assert answer["points"] is None
    assert "exclude" in answer["says"]


def test_a_set_with_it_that_scores_more_is_said_to_score_more(shoot):
    brief = make_brief(roles=ROLES)
    best, second = suggest(shoot, brief, alternates=1).sets
    path = next(frame.path for frame in best.frames if frame.path not in {f.path for f in second.frames})
    answer = why(shoot, brief, second, path)
    more = best.score - second.score
    assert more > 0.01
    assert answer["points"] == pytest.approx(-more)
    assert f"{best.score:.2f}, {more:.2f} points more than this set" in answer["says"]
    assert any(f"gains {points:.2f}" in answer["says"] for points in answer["terms"].values() if points >= 0.005)
    losses = [points for points in answer["terms"].values() if points <= -0.005]
    assert all(f"loses {-points:.2f}" in answer["says"] for points in losses)


def test_a_set_of_before_is_graded_as_its_frames_are_seen_now(shoot):
    """An outcome of an earlier version holds points of then; an alternative of today has points of today."""
    brief = make_brief(roles=ROLES)
    best = suggest(shoot, brief).sets[0]
    path = next(f.path for f in shoot.frames if f.path not in {m.path for m in best.frames})
    told = why(shoot, brief, best, path)
    of_before = best.model_copy(update={"score": best.score - 50.0, "ledger": ()})
    answer = why(shoot, brief, of_before, path)
    assert "made" not in told
    assert answer["made"] == of_before.score
    assert answer["score"] == best.score
    assert {key: answer[key] for key in ("points", "terms", "enter", "leave", "lines")} == {
        key: told[key] for key in ("points", "terms", "enter", "leave", "lines")
    }
    assert f"scored {of_before.score:.2f} when it was made" in answer["says"]
    assert f"it scores {best.score:.2f}" in answer["says"]


def test_a_set_of_before_that_the_rules_now_forbid_keeps_its_points_and_says_so(shoot):
    best = suggest(shoot, make_brief(roles=ROLES)).sets[0]
    brief = make_brief(roles=ROLES, frames={"exclude": [best.frames[0].path]})
    path = next(f.path for f in shoot.frames if f.path not in {m.path for m in best.frames})
    answer = why(shoot, brief, best, path)
    assert answer["score"] == answer["made"] == best.score
    assert "no longer make a set under the brief" in answer["says"]
