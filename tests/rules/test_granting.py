"""Include means include: one definition, whoever asks; and where it clashes with a rule, which and the way out."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.domain.measures import ScaleOdds
from setsolver.errors import WishClash
from setsolver.rules import assemble
from setsolver.rules.granting import crowds
from setsolver.usecases.check import check
from setsolver.usecases.gaps import gaps
from setsolver.usecases.suggest import suggest
from tests.rules.brute import paths_of
from tests.rules.builders import WHOLE, make_brief, make_frame, make_random_snapshot, make_snapshot
from tests.usecases.asked import why

ROLES = {"wide": [1, 1], "medium": [1, 1], "close": [1, 1]}
SPARE = [make_frame(1, "medium"), make_frame(2, "close"), make_frame(3, "wide"), make_frame(4, "close")]


def shoot(first, *others):
    """Return a shoot whose first frame is called a.jpg."""
    return make_snapshot(first, *SPARE, *others)


def wishing(**changes):
    return make_brief(**{"roles": ROLES, "frames": {"include": ["a.jpg"]}} | changes)


def test_trivial_a_wished_frame_is_in_as_what_the_user_said():
    snapshot = shoot(make_frame(0, "close", path="a.jpg", said="wide", quality=0.0))
    best = suggest(snapshot, wishing(), alternates=0).best
    assert {frame.path: frame.role for frame in best.frames}["a.jpg"] == "wide"


def test_a_frame_that_the_user_said_is_wide_is_never_hung_as_close():
    said = make_frame(0, "close", path="a.jpg", said="wide", inner="close")
    for included in ([], ["a.jpg"]):
        brief = wishing(roles={"wide": [0, 1], "medium": [0, 1], "close": [0, 2]}, frames={"include": included})
        assembly = assemble(shoot(said), brief)
        rows = assembly.problem.frame == 0
        assert np.isnan(assembly.problem.gain[rows, 1:]).all()


def test_infeasible_no_slot_takes_what_the_user_said_and_every_question_answers_alike():
    snapshot = shoot(make_frame(0, "close", path="a.jpg", said="wide"))
    brief = wishing(roles={"medium": [1, 1], "close": [2, 2]})
    outcome = suggest(snapshot, brief, alternates=0)
    assert outcome.status == "none"
    (clash,) = outcome.conflict
    assert clash.says == '"a.jpg" cannot be used: it is wide by your own word, and the brief asks for medium or close'
    assert "let the brief have room for what it is" in clash.way_out
    free = wishing(roles={"medium": [1, 1], "close": [2, 2]}, frames={})
    answer = why(snapshot, free, suggest(snapshot, free, alternates=0).best, "a.jpg")
    assert answer["points"] is None
    assert clash.says in answer["says"]
    assert answer["conflict"] == [clash.model_dump()]
    assert clash.says in check(snapshot, brief, ["a.jpg", SPARE[0].path, SPARE[1].path])["broken"]
    shortfall = gaps(snapshot, brief)
    assert not shortfall["possible"]
    assert shortfall["conflict"] == [clash.model_dump()]


def test_by_measure_a_wish_plays_what_it_may_pass_as_and_nothing_else():
    odds = ScaleOdds(0.75, 0.22, 0.03)
    snapshot = shoot(make_frame(0, odds, path="a.jpg"))
    taken = wishing(frames={"include": ["a.jpg", SPARE[2].path]})
    roles = {frame.path: frame.role for frame in suggest(snapshot, taken, alternates=0).best.frames}
    assert roles["a.jpg"] == "medium"
    clash = wishing(frames={"include": ["a.jpg"]}, roles={"close": [3, 3]})
    assert "cannot pass as close (wide 75 %" in suggest(snapshot, clash, alternates=0).conflict[0].says


def test_three_wide_wished_and_room_for_one_is_said_as_that():
    frames = [make_frame(i, "wide", path=f"{name}.jpg") for i, name in enumerate("abc")]
    snapshot = make_snapshot(*frames, make_frame(3, "medium"), make_frame(4, "close"))
    brief = wishing(frames={"include": ["a.jpg", "b.jpg", "c.jpg"]})
    (clash,) = suggest(snapshot, brief, alternates=0).conflict
    assert clash.says == "3 wide frames are wished, room for 1: a.jpg, b.jpg and c.jpg"
    assert clash.way_out == "let wide have 3, wish for 2 fewer, or say another scale of 2 frames"
    with pytest.raises(WishClash, match="room for 1"):
        assemble(snapshot, brief)
    assert gaps(snapshot, brief)["conflict"] == [clash.model_dump()]


def test_two_that_fill_the_slots_of_a_third_are_all_named():
    frames = [make_frame(i, ScaleOdds(0.5, 0.5, 0.0), path=f"{name}.jpg") for i, name in enumerate("abc")]
    snapshot = make_snapshot(*frames, make_frame(3, "close"))
    brief = wishing(frames={"include": ["?.jpg"]})
    assert suggest(snapshot, brief, alternates=0).conflict[0].says == (
        "3 wide or medium frames are wished, room for 2: a.jpg, b.jpg and c.jpg"
    )


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"rating": -1}, "you rejected it (rating -1)"),
        ({"size": (600, 400)}, "its largest crop has 600 pixels along the long edge, the print needs 1772"),
        ({"subject": WHOLE, "confidence": 0.9, "size": (4000, 6000)}, "every crop of 3:2 would cut its subject"),
    ],
)
def test_what_a_wish_waives_is_said_in_every_answer(changes, words):
    snapshot = shoot(make_frame(0, "wide", path="a.jpg", **changes))
    free = wishing(frames={})
    assert "a.jpg" not in {path for found in paths_of(assemble(snapshot, free)) for path in found}
    outcome = suggest(snapshot, wishing(), alternates=0)
    assert "a.jpg" in {frame.path for frame in outcome.best.frames}
    assert [note for note in outcome.notes if note.startswith("a.jpg is in at your wish (include), although")]
    assert any(words in note for note in outcome.notes)
    answer = why(snapshot, free, suggest(snapshot, free, alternates=0).best, "a.jpg")
    assert answer["instead"]["score"] == pytest.approx(outcome.best.score, abs=1e-6)
    assert words in answer["says"]
    graded = check(snapshot, wishing(), [frame.path for frame in outcome.best.frames])
    assert graded["holds"]
    assert graded["set"]["score"] == pytest.approx(outcome.best.score, abs=1e-6)
    assert any(words in note for note in graded["notes"])
    shortfall = gaps(snapshot, wishing())
    assert shortfall["possible"]
    assert shortfall["notes"] == list(outcome.notes[: len(shortfall["notes"])])


def test_a_wish_waives_nothing_that_it_can_do_without():
    upright = make_frame(0, "wide", path="a.jpg", size=(2000, 1333))
    slots = [
        {"role": "wide", "name": "lead", "print_cm": 60},
        {"role": "wide", "name": "small", "print_cm": 20},
        {"role": "close"},
    ]
    assembly = assemble(shoot(upright), wishing(roles={}, slot=slots))
    rows = assembly.problem.frame == 0
    assert assembly.notes == ()
    assert np.isnan(assembly.problem.gain[rows, 0]).all()


def test_a_wish_waives_the_fewest_rules_that_let_the_frame_in():
    rejected = make_frame(0, "wide", path="a.jpg", size=(2000, 1333), rating=-1)
    slots = [
        {"role": "wide", "name": "lead", "print_cm": 60},  # which the frame has too few pixels for, besides
        {"role": "wide", "name": "small", "print_cm": 20},
        {"role": "close"},
    ]
    assembly = assemble(shoot(rejected), wishing(roles={}, slot=slots))
    rows = assembly.problem.frame == 0
    assert [note.partition("although ")[2] for note in assembly.notes] == ["you rejected it (rating -1)"]
    assert np.isnan(assembly.problem.gain[rows, 0]).all()
    assert not np.isnan(assembly.problem.gain[rows, 1]).all()


def test_a_wish_for_a_frame_of_another_rule_stays_with_the_solver():
    frames = [make_frame(0, "wide", path="a.jpg", moment=7), make_frame(1, "medium", path="b.jpg", moment=7)]
    snapshot = make_snapshot(*frames, make_frame(2, "close"), make_frame(3, "medium"))
    outcome = suggest(snapshot, wishing(frames={"include": ["a.jpg", "b.jpg"]}), alternates=0)
    assert outcome.status == "none"
    assert {clash.rule for clash in outcome.conflict} == {"include[0]", "include[1]", "group_cap[0]"}


def test_why_a_wished_frame_is_in_tells_the_best_set_without_it():
    snapshot = shoot(make_frame(0, "wide", path="a.jpg", quality=0.1))
    best = suggest(snapshot, wishing(), alternates=0).best
    answer = why(snapshot, wishing(), best, "a.jpg")
    assert answer["in_set"]
    assert answer["points"] < 0
    assert "a.jpg" in answer["leave"]


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10_000), st.integers(0, 11), st.sampled_from([None, "wide", "medium", "close"]))
def test_a_wished_frame_is_in_or_the_answer_names_it(seed, wished, said):
    snapshot = make_random_snapshot(12, seed)
    frames = list(snapshot.frames)
    object.__setattr__(frames[wished], "said", said)
    path = frames[wished].path
    outcome = suggest(snapshot, make_brief(roles=ROLES, frames={"include": [path]}), alternates=0)
    if outcome.best is not None:
        (role,) = (frame.role for frame in outcome.best.frames if frame.path == path)
        assert said in (None, role)
    elif outcome.conflict[0].rule == "include":
        assert path in outcome.conflict[0].says


@given(
    st.lists(st.lists(st.integers(0, 2), unique=True, min_size=1), max_size=5),
    st.lists(st.integers(0, 2), min_size=3, max_size=3),
)
def test_crowds_are_found_exactly_where_no_seating_exists(able, room):
    seated = any(
        all(choice.count(slot) <= room[slot] for slot in range(3))
        for choice in product(*able)
        if len(choice) == len(able)
    )
    found = crowds(able, room)
    assert (not found) == seated
    for slots, frames in found.items():
        assert all(set(able[frame]) <= set(slots) for frame in frames)
        assert len(frames) > sum(room[slot] for slot in slots)
