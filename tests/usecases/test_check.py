"""A set made by hand, graded with the same ledger."""

import pytest

from setsolver.errors import BadInput
from setsolver.usecases.check import check
from setsolver.usecases.suggest import suggest
from tests.rules.builders import make_brief, make_frame, make_shoot, make_snapshot

ROLES = {"wide": [1, 1], "medium": [1, 1], "close": [1, 1]}


def test_the_best_set_grades_as_it_was_scored():
    shoot, brief = make_shoot(12), make_brief(roles=ROLES)
    best = suggest(shoot, brief, alternates=0).sets[0]
    graded = check(shoot, brief, [frame.path for frame in best.frames])
    assert graded["holds"]
    assert graded["set"]["score"] == pytest.approx(best.score, abs=1e-6)
    assert sum(line["points"] for line in graded["set"]["ledger"]) == pytest.approx(best.score, abs=1e-6)


def test_every_broken_rule_is_named_and_the_rest_still_graded():
    frames = [make_frame(0, "wide"), make_frame(1, "wide", moment=0), make_frame(2, "wide")]
    graded = check(make_snapshot(*frames), make_brief(roles=ROLES), [f.path for f in frames])
    assert not graded["holds"]
    text = " ".join(graded["broken"])
    assert "moment" in text
    assert "close" in text
    assert len(graded["set"]["frames"]) == 3


def test_tones_too_far_apart_are_named_by_axis():
    frames = [make_frame(0), make_frame(1), make_frame(2, look=(30.0, 60.0, 92.0, 0.0, 0.0))]
    graded = check(make_snapshot(*frames), make_brief(), [f.path for f in frames])
    assert any("black" in broken for broken in graded["broken"])
    assert not any("white" in broken for broken in graded["broken"])


def test_another_number_of_frames_is_broken_but_graded_with_a_ledger_that_adds_up():
    shoot = make_shoot(12)
    graded = check(shoot, make_brief(), [f.path for f in shoot.frames[:4]])
    assert "4 frames given, the brief wants 3" in graded["broken"]
    total = sum(line["points"] for line in graded["set"]["ledger"])
    assert total == pytest.approx(graded["set"]["score"], abs=1e-6)


def test_a_frame_without_pixels_for_its_print_says_so():
    frames = [make_frame(0), make_frame(1), make_frame(2, size=(300, 200)), make_frame(3)]
    graded = check(make_snapshot(*frames), make_brief(), [f.path for f in frames[:3]])
    assert any("frame-0002.jpg" in broken and "pixels" in broken for broken in graded["broken"])


def test_frames_left_out_by_the_brief_are_named():
    shoot = make_shoot(6)
    brief = make_brief(frames={"include": ["frame-0005.jpg"]})
    graded = check(shoot, brief, [f.path for f in shoot.frames[:3]])
    assert any("frame-0005.jpg" in broken for broken in graded["broken"])


@pytest.mark.parametrize(
    ("paths", "words"),
    [(["nowhere.jpg"], "not a frame of the catalog"), (["frame-0000.jpg", "frame-0000.jpg"], "named twice")],
)
def test_what_cannot_be_graded_is_refused(paths, words):
    with pytest.raises(BadInput, match=words):
        check(make_shoot(4), make_brief(), paths)
