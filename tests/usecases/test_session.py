"""Sessions: any sequence of changes answers as a cold solve of the same brief does, and undo goes back exactly."""

import re

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from setsolver.api import Catalog
from setsolver.catalog.store import Store
from setsolver.domain.outcome import STATUS
from setsolver.errors import BadBrief, BadInput, NoSet, NoSuchFrame
from setsolver.rules import assemble
from setsolver.usecases.assembling import Assembler
from setsolver.usecases.effort import Effort
from setsolver.usecases.index import open_index
from setsolver.usecases.outcome import without_set
from setsolver.usecases.session import Session
from setsolver.usecases.solve import solve
from setsolver.usecases.warm_answers import _moved
from tests.rules.builders import make_brief, make_frame, make_random_snapshot, make_shoot, make_snapshot
from tests.usecases.shoots import run, shoot

SHOOT = make_random_snapshot(24, seed=3)
PATHS = [frame.path for frame in SHOOT.frames]
BRIEF = make_brief(min_ppi=100, roles={"wide": [1, 1], "close": [0, 2]})

path = st.sampled_from(PATHS)
change = st.one_of(
    st.tuples(st.just("pin"), path),
    st.tuples(st.just("bar"), path),
    st.tuples(st.just("free"), path),
    st.tuples(st.just("bar"), st.sampled_from(["frame-000?.jpg", "frame-001*.jpg"])),
    st.tuples(st.just("reweigh"), st.sampled_from(["quality", "role", "variety", "tone"]), st.integers(0, 60)),
    st.tuples(st.just("change"), st.sampled_from(["print_cm", "min_ppi", "size"]), st.sampled_from([2, 3, 40, 60])),
    st.tuples(st.just("undo")),
    st.tuples(st.just("redo")),
)


def do(session, verb, *given_):
    """Make one change; say False where it is refused, which must leave the brief as it was."""
    before = session.brief
    try:
        if verb == "reweigh":
            session.reweigh(**{given_[0]: float(given_[1])})
        elif verb == "change":
            session.change(**{given_[0]: given_[1]})
        else:
            getattr(session, verb)(*given_)
    except BadBrief:
        assert session.brief == before
        return False
    return True


def cold(brief):
    """Return (status, score) of the brief on a catalog opened anew, None for one that does not fit."""
    try:
        solution = solve(assemble(SHOOT, brief).problem, Effort())
    except NoSet as error:
        return without_set(SHOOT, brief, error).status, None
    except BadBrief:
        return None
    return STATUS[solution.status], solution.best and solution.best.score


def warm(session):
    try:
        outcome = session.solve()
    except BadBrief:
        return None
    return outcome.status, outcome.best and outcome.best.score


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(change, min_size=1, max_size=7))
def test_a_session_scores_as_a_cold_solve_after_any_changes(changes):
    session = Session(SHOOT, BRIEF)
    for one in changes:
        do(session, *one)
        expected, found = cold(session.brief), warm(session)
        if expected is None:
            assert found is None
            continue
        assert found is not None
        assert found[0] == expected[0]
        assert found[1] == (expected[1] if expected[1] is None else pytest.approx(expected[1]))


@settings(max_examples=25, deadline=None)
@given(st.lists(change, min_size=1, max_size=7))
def test_undo_and_redo_go_back_and_forth_exactly(changes):
    session = Session(SHOOT, BRIEF)
    for one in changes:
        do(session, *one)
    last, steps = session.brief, 0
    while session.undo():
        steps += 1
    assert session.brief == BRIEF
    for _ in range(steps):
        assert session.redo()
    assert session.brief == last


@settings(max_examples=25, deadline=None)
@given(st.lists(path, max_size=3, unique=True), st.lists(path, max_size=4, unique=True), st.integers(0, 50))
def test_an_assembly_from_parts_is_the_assembly_from_scratch(include, exclude, quality):
    brief = make_brief(
        min_ppi=120, frames={"include": include, "exclude": exclude}, weights={"quality": quality, "tone": quality % 2}
    )
    assembler = Assembler(SHOOT)
    assembler.assembly(make_brief(min_ppi=120))
    try:
        truth = assemble(SHOOT, brief)
    except BadBrief as error:
        with pytest.raises(type(error), match=re.escape(str(error))):
            assembler.assembly(brief)
        return
    made = assembler.assembly(brief)
    for key in type(truth.problem).keys():  # noqa: SIM118 - not a mapping
        np.testing.assert_array_equal(getattr(made.problem, key), getattr(truth.problem, key), err_msg=key)
    assert made.words == truth.words
    assert made.reasons == truth.reasons
    assert made.ruled_out == truth.ruled_out
    assert made.notes == truth.notes
    assert made.brief == truth.brief


def test_more_wished_than_the_set_holds_is_told_as_from_scratch_though_a_base_is_warm():
    brief, wished = make_brief(min_ppi=1), [frame.path for frame in SHOOT.frames]
    assembler = Assembler(SHOOT)
    usable = [wished[frame] for frame in np.unique(assembler.assembly(brief).problem.frame)]
    roomy = brief.model_copy(update={"frames": brief.frames.model_copy(update={"include": tuple(usable[:4])})})
    assert brief.size < 4
    assert sum(slot.most for slot in brief.slots) >= 4
    with pytest.raises(BadBrief, match=rf"frames.include: 4 frames for a set of {brief.size}; include fewer, or raise"):
        assembler.assembly(roomy)


def test_a_pin_is_in_and_a_bar_is_out():
    with Session(make_shoot(12), make_brief()) as session:
        first = session.solve().best
        assert first is not None
        out, other = first.frames[0].path, "frame-0009.jpg"
        session.bar(out)
        session.pin(other)
        paths = {frame.path for frame in session.solve().best.frames}
        assert other in paths
        assert out not in paths


def test_a_pin_takes_a_frame_out_of_a_glob_that_bars_it():
    session = Session(make_shoot(12), make_brief())
    session.bar("frame-000*.jpg")
    session.pin("frame-0003.jpg")
    assert session.brief.frames.include == ("frame-0003.jpg",)
    assert session.brief.frames.exclude == tuple(f"frame-000{n}.jpg" for n in range(10) if n != 3)


def test_include_sets_the_whole_list_and_free_empties_it():
    session = Session(make_shoot(12), make_brief())
    session.pin("frame-0001.jpg")
    session.include("frame-0002.jpg", "frame-0004.jpg")
    assert session.brief.frames.include == ("frame-0002.jpg", "frame-0004.jpg")
    session.free("frame-000?.jpg")
    assert session.brief.frames.include == ()


@pytest.mark.parametrize("verb", ["pin", "bar", "free", "include"])
def test_an_unknown_path_changes_nothing(verb):
    session = Session(make_shoot(12), make_brief())
    with pytest.raises(BadBrief, match="frame-0003"):
        getattr(session, verb)("frame-03.jpg")
    assert session.brief == make_brief()
    assert not session.undo()


def test_a_weight_that_no_term_has_changes_nothing():
    session = Session(make_shoot(12), make_brief())
    with pytest.raises(BadBrief, match="beauty"):
        session.reweigh(beauty=3.0)
    assert session.brief == make_brief()


def test_a_new_change_ends_redo():
    session = Session(make_shoot(12), make_brief())
    session.bar("frame-0001.jpg")
    session.undo()
    session.bar("frame-0002.jpg")
    assert not session.redo()


def test_swaps_are_scored_exactly_and_the_set_around_each_is_proven():
    snapshot = make_random_snapshot(30, seed=5)
    session = Session(snapshot, make_brief(min_ppi=80))
    best = session.solve().best
    found = list(session.swaps(slot=2, most=5))
    assert 0 < len(found) <= 5
    assert [swap.points for swap in found] == sorted((swap.points for swap in found), reverse=True)
    kept = {frame.path for frame in best.frames} - {best.frames[1].path}
    for swap in found:
        assert swap.leaves == best.frames[1].path
        assert {frame.path for frame in swap.found.frames} == kept | {swap.path}
        assert swap.found.score - best.score == pytest.approx(swap.points)
        assert swap.proven
        assert swap.best_points >= swap.points - 1e-6
        assert swap.path in {frame.path for frame in swap.best.frames}
        session.pin(swap.path)
        assert session.solve().best.score - best.score == pytest.approx(swap.best_points)
        session.undo()


def test_a_swap_can_be_asked_by_path_and_without_solving_around_it():
    session = Session(make_random_snapshot(30, seed=5), make_brief(min_ppi=80))
    best = session.solve().best
    by_path = list(session.swaps(best.frames[0].path, 3, resolve=False))
    by_place = list(session.swaps(1, 3, resolve=False))
    assert [swap.path for swap in by_path] == [swap.path for swap in by_place]
    assert all(swap.best_points is None and swap.best is None and not swap.proven for swap in by_path)


@pytest.mark.parametrize("slot", [0, 4, "frame-0099.jpg"])
def test_a_place_that_the_set_does_not_have_is_refused(slot):
    session = Session(make_shoot(12), make_brief())
    with pytest.raises(BadInput, match=f"slot {slot!r}" if isinstance(slot, str) else "places 1 to 3"):
        list(session.swaps(slot))


def test_where_no_set_exists_the_outcome_says_why_and_there_are_no_swaps():
    session = Session(make_shoot(12), make_brief(roles={"wide": [3, 3]}, repeats={"scene": 1}))
    session.bar("frame-0000.jpg", "frame-0003.jpg")
    outcome = session.solve()
    assert outcome.best is None
    assert outcome.conflict
    with pytest.raises(BadInput, match="only 2 of 12"):
        list(session.swaps(1))
    session.undo()
    assert session.solve().best is not None


def test_alternates_differ_and_stay_the_same_when_asked_again():
    session = Session(make_random_snapshot(40, seed=7), make_brief(min_ppi=80))
    outcome = session.alternates(2)
    assert len(outcome.sets) == 3
    assert session.alternates(2).sets == outcome.sets


@pytest.mark.parametrize(("told", "least"), [(None, 2), (1, 1), (3, 3), (9, 3)])
def test_alternates_differ_by_half_the_set_or_as_told(told, least):
    frames = [make_frame(n, ("wide", "medium", "close")[n % 3], quality=0.9 - 0.05 * n) for n in range(12)]
    best, other = (
        Session(make_snapshot(*frames), make_brief(weights={"variety": 0})).outcome(alternates=1, differ=told).sets
    )
    assert len({f.path for f in best.frames} - {f.path for f in other.frames}) == least


def test_why_speaks_of_the_best_set():
    session = Session(make_shoot(12), make_brief())
    best = session.solve().best
    inside = session.why(best.frames[0].path)
    assert inside["in_set"]
    assert inside["points"] >= 0
    with pytest.raises(NoSuchFrame):
        session.why("frame-03.jpg")


def test_corrections_need_a_folder():
    session = Session(make_shoot(12), make_brief())
    with pytest.raises(BadInput, match="no folder"):
        session.rescale("frame-0001.jpg", "wide")
    assert not session.undo()


def test_a_pin_of_a_frame_that_rules_take_out_brings_its_renditions():
    frames = [make_frame(n, ("wide", "medium", "close")[n % 3]) for n in range(9)]
    frames.append(make_frame(9, "wide", rating=-1))
    session = Session(make_snapshot(*frames), make_brief())
    assert "frame-0009.jpg" not in {f.path for f in session.solve().best.frames}
    session.pin("frame-0009.jpg")
    outcome = session.solve()
    assert "frame-0009.jpg" in {f.path for f in outcome.best.frames}
    assert any("rejected" in note for note in outcome.notes)
    session.undo()
    assert "frame-0009.jpg" not in {f.path for f in session.solve().best.frames}


def test_a_correction_is_kept_in_the_index_and_undone_there(tmp_path):
    run(shoot(tmp_path / "day", 6))
    session = Catalog.open(tmp_path / "day").session(make_brief(min_ppi=1))
    first = "frame-000.png"

    def kept():
        return {frame.path: frame.said for frame in Catalog.open(tmp_path / "day").frames()}[first]

    session.rescale(first, "wide")
    assert kept() == "wide"
    assert session.snapshot.by_path(first).said == "wide"
    session.rescale(first, "close")
    session.undo()
    assert kept() == "wide"
    session.undo()
    assert kept() is None
    session.redo()
    assert kept() == "wide"
    with pytest.raises(BadInput, match="broad"):
        session.rescale(first, "broad")
    assert kept() == "wide"


@pytest.fixture
def corrected(tmp_path):
    """Return a session on a scanned folder in which a frame was said to be wide, then close."""
    run(shoot(tmp_path / "day", 6))
    session = Catalog.open(tmp_path / "day").session(make_brief(min_ppi=1))
    session.rescale("frame-000.png", "wide")
    session.rescale("frame-000.png", "close")
    return session


def full(*_given, **_more):
    raise BadInput("the disk is full")


@pytest.mark.parametrize("step", ["undo", "redo"])
def test_an_undo_that_cannot_be_written_changes_nothing(step, corrected, monkeypatch):
    session = corrected
    session.undo()
    before = session.undoable, session.redoable, session.brief, session.snapshot.by_path("frame-000.png").said
    with monkeypatch.context() as shut:
        shut.setattr(Store, "correct", full)
        with pytest.raises(BadInput, match="full"):
            getattr(session, step)()
    assert (session.undoable, session.redoable, session.brief, session.snapshot.by_path("frame-000.png").said) == before
    assert getattr(session, step)()
    assert session.snapshot.by_path("frame-000.png").said == {"undo": None, "redo": "close"}[step]


def test_a_turn_that_cannot_be_measured_is_taken_back_from_the_index(corrected, monkeypatch):
    session = corrected
    with monkeypatch.context() as shut:
        shut.setattr("setsolver.usecases.looking_again.scan", full)
        shut.setattr("setsolver.usecases.remeasure.remeasured", lambda *_: None)
        with pytest.raises(BadInput, match="full"):
            session.turn("frame-000.png", 90)
    assert session.undoable == 2
    with open_index(session.folder) as store:
        assert store.corrections() == {"frame-000.png": {"scale": "close"}}


def test_what_is_known_of_sets_is_carried_to_other_rows():
    frames = [make_frame(n, ("wide", "medium", "close")[n % 3]) for n in range(12)]
    session = Session(make_snapshot(*frames), make_brief())
    before = session.solve().best
    session.change(print_cm=31)
    after = session.solve().best
    assert [f.path for f in after.frames] == [f.path for f in before.frames]
    old, new = Session(SHOOT, BRIEF).assembly, Session(SHOOT, BRIEF.model_copy(update={"min_ppi": 180})).assembly
    rows = _moved(old, new)
    assert (rows < 0).any()
    for row, at in enumerate(rows):
        if at >= 0:
            assert old.renditions[row].frame.path == new.renditions[at].frame.path
            assert tuple(old.renditions[row].crop) == tuple(new.renditions[at].crop)


def test_a_wish_for_a_frame_whose_name_has_brackets_can_be_taken_back():
    """Cameras and copies make such names: "pot[1].jpg" is a path first, and a glob only where no frame has it."""
    frames = [make_frame(n, path=f"pot[{n}].jpg") for n in range(6)]
    session = Session(make_snapshot(*frames), make_brief())
    session.pin("pot[3].jpg", "pot[4].jpg")
    session.free("pot[3].jpg")
    assert session.brief.frames.include == ("pot[4].jpg",)


def test_a_wish_by_pattern_stays_a_pattern_unless_one_of_its_frames_is_freed():
    frames = [make_frame(n, path=f"{'kiln' if n < 3 else 'yard'}/{n}.jpg") for n in range(6)]
    session = Session(make_snapshot(*frames), make_brief(size=5))
    session.wish(include=("kiln/*", "yard/3.jpg", "yard/[45].jpg"), exclude=())
    session.free("yard/4.jpg")
    assert session.brief.frames.include == ("kiln/*", "yard/3.jpg", "yard/5.jpg")
