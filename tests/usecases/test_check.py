"""A set made by hand, graded with the same ledger."""

import pytest

from setsolver.errors import BadInput
from setsolver.usecases.check import check
from setsolver.usecases.effort import Effort
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


def test_every_break_names_its_frames_and_a_way_out():
    frames = [make_frame(0, "wide"), make_frame(1, "wide", moment=0), make_frame(2, "wide"), make_frame(3, "close")]
    graded = check(make_snapshot(*frames), make_brief(roles=ROLES), [f.path for f in frames[:3]])
    assert [one["says"] for one in graded["breaks"]] == graded["broken"]
    assert all(one["way_out"] for one in graded["breaks"])
    wide = next(one for one in graded["breaks"] if one["says"] == "at most 1 wide frame, but 3 are")
    assert wide["frames"] == [f.path for f in frames[:3]]
    close = next(one for one in graded["breaks"] if "close" in one["says"])
    assert "frame-0003.jpg" in close["way_out"]
    moment = next(one for one in graded["breaks"] if "moment" in one["says"])
    assert moment["frames"] == ["frame-0000.jpg", "frame-0001.jpg"]


def test_the_best_swap_is_the_best_set_with_all_other_frames_kept():
    shoot, brief = make_shoot(12), make_brief(roles=ROLES)
    best = suggest(shoot, brief, alternates=0).sets[0]
    paths = [frame.path for frame in best.frames]
    assert check(shoot, brief, paths)["swap"]["points"] <= 1e-6  # nothing gains on the best set
    other = suggest(shoot, make_brief(roles=ROLES, frames={"exclude": paths[:1]}), alternates=0).sets[0]
    swap = check(shoot, brief, [frame.path for frame in other.frames])["swap"]
    brute = max(
        (check(shoot, brief, [*kept, new.path])["set"]["score"], leaving)
        for leaving in (frame.path for frame in other.frames)
        for kept in [[frame.path for frame in other.frames if frame.path != leaving]]
        for new in shoot.frames
        if new.path not in [*kept, leaving] and check(shoot, brief, [*kept, new.path])["holds"]
    )
    assert swap["score"] == pytest.approx(brute[0], abs=1e-6)
    assert swap["proven"]


def test_a_swap_that_mends_a_broken_set_is_offered():
    frames = [make_frame(0, "wide"), make_frame(1, "wide"), make_frame(2, "close"), make_frame(3, "medium")]
    swap = check(make_snapshot(*frames), make_brief(roles=ROLES), [f.path for f in frames[:3]])["swap"]
    assert swap["enters"] == "frame-0003.jpg"
    assert "keeps the rules" in swap["says"]


@pytest.mark.parametrize(("given", "verb"), [(2, "add"), (4, "leave out")])
def test_another_number_of_frames_says_which_to_add_or_leave_out(given, verb):
    shoot = make_shoot(12)
    size = check(shoot, make_brief(), [f.path for f in shoot.frames[:given]])["breaks"][0]
    assert size["way_out"].startswith(verb)
    assert "frame-00" in size["way_out"]


def test_a_catalog_smaller_than_the_brief_is_graded_all_the_same():
    graded = check(make_shoot(2), make_brief(), ["frame-0000.jpg", "frame-0001.jpg"])
    assert graded["breaks"][0]["way_out"] == "add 1"
    assert graded["swap"] is None


def test_near_duplicates_are_named_by_their_paths():
    shoot = make_snapshot(make_frame(0), make_frame(1), make_frame(2), pairs=((0, 1),))
    graded = check(shoot, make_brief(), [f.path for f in shoot.frames])
    assert any("frame-0000.jpg" in one["says"] + one["way_out"] for one in graded["breaks"])


@pytest.mark.parametrize(
    ("paths", "words"),
    [(["nowhere.jpg"], "not a frame of the catalog"), (["frame-0000.jpg", "frame-0000.jpg"], "named twice")],
)
def test_what_cannot_be_graded_is_refused(paths, words):
    with pytest.raises(BadInput, match=words):
        check(make_shoot(4), make_brief(), paths)


def test_looking_for_the_best_swap_takes_the_time_limit_once_not_once_a_place():
    asked = []

    class Watched(Effort):
        def solve(self, problem, **more):
            asked.append(self.time_limit)
            return Effort.solve(self, problem, **more)

    shoot = make_shoot(12)
    check(shoot, make_brief(), [frame.path for frame in shoot.frames[:3]], Watched(30.0))
    places = [limit for limit in asked if limit < 30.0]
    assert len(places) == 3
    assert sum(places) == pytest.approx(30.0)


def test_frames_of_no_moment_are_not_of_one():
    """Three frames that nobody could group beside two of one moment: these two are the break."""
    frames = [make_frame(i, moment=-1) for i in range(3)] + [make_frame(i, moment=7) for i in (3, 4)]
    graded = check(make_snapshot(*frames), make_brief(size=5), [f.path for f in frames])
    (moment,) = [one for one in graded["breaks"] if "moment" in one["says"]]
    assert moment["frames"] == ["frame-0003.jpg", "frame-0004.jpg"]
    assert moment["says"].endswith("but 2 are")
