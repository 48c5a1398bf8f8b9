"""After any sequence of corrections and changes a session gives exactly the outcome of a catalog opened anew.

So it does after turns that were not waited for, once they are settled, whatever was done and taken back meanwhile.

Set, score, bound, proof, ledger, what was ruled out and why: all of the document but when and how fast it was made.
"""

import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from setsolver.api import Catalog
from setsolver.domain.last import forget_all
from setsolver.errors import BadBrief
from setsolver.usecases import remeasure
from setsolver.usecases.measuring import measure_task
from tests.rules.builders import make_brief, make_random_snapshot
from tests.usecases.made_up import copied, fill, measurer

SHOOT = make_random_snapshot(40, seed=6)
PATHS = [frame.path for frame in SHOOT.frames]
BRIEF = make_brief(
    min_ppi=80,
    roles={"wide": [1, 1], "close": [0, 2]},
    weights={"appeal": 20.0, "rating": 10.0, "content": 3.0, "solid": 8.0, "kept": 5.0},
)
NOTHING_OF_THE_SET = {"made", "seconds", "catalog"}

path = st.sampled_from(PATHS)
crop = st.fixed_dictionaries(
    {"x": st.sampled_from([0.3, 0.5]), "y": st.just(0.5), "share": st.sampled_from([0.8, 0.97])}
)
correction = st.one_of(
    st.tuples(st.just("rate"), path, st.sampled_from([None, 0, 1, 3, 5])),
    st.tuples(st.just("rescale"), path, st.sampled_from([None, "wide", "medium", "close"])),
    st.tuples(st.just("many"), st.dictionaries(path, st.sampled_from(["0", "2", "5"]), min_size=2, max_size=5)),
    st.tuples(st.just("turn"), st.sampled_from(PATHS[:6]), st.sampled_from([None, 0, 90, 180, 270])),
    st.tuples(st.just("later"), st.sampled_from(PATHS[:6]), st.sampled_from([None, 90, 180])),
    st.tuples(st.just("settle")),
    st.tuples(st.just("kind"), path, st.sampled_from([None, "document", "photograph"])),
)
change = st.one_of(
    correction,
    correction,
    st.tuples(st.just("pin"), path),
    st.tuples(st.just("bar"), path),
    st.tuples(st.just("reweigh"), st.sampled_from(["quality", "appeal", "variety", "tone"]), st.integers(0, 40)),
    st.tuples(st.just("reach"), st.integers(5, 40)),
    st.tuples(st.just("crop"), path, crop),
    st.tuples(st.just("undo")),
    st.tuples(st.just("redo")),
)


@pytest.fixture(autouse=True)
def _measuring_here(monkeypatch):
    monkeypatch.setattr(remeasure, "_resident", Here())


class Here:
    """Measures in this process; ``setsolver.usecases.resident`` has tests of its own."""

    def measure(self, task):
        """Return the row of a file."""
        return measure_task(task, measurer())


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return fill(tmp_path_factory.mktemp("made-up"), SHOOT, distinct=True)


def do(session, verb, *said):
    match verb:
        case "many":
            session.correct({path_: {"stars": stars} for path_, stars in said[0].items()})
        case "kind":
            session.correct({said[0]: {"kind": said[1]}})
        case "later":
            session.turn(*said, wait=False)
            assert session.unmeasured[said[0]] == said[1]
        case "reweigh":
            session.reweigh(**{said[0]: float(said[1])})
        case "reach":
            tone = session.brief.tone.model_dump(exclude_unset=True)
            session.change(tone=tone | {"reach": session.brief.tone.reach.model_dump() | {"mid": said[0]}})
        case "crop":
            crops = {name: wish.model_dump() for name, wish in session.brief.crops.items()}
            session.change(crops=crops | {said[0]: said[1]})
        case _:
            getattr(session, verb)(*said)


def told(session, alternates=0):
    """Return the outcome as a document without what differs between two runs, or why there is none."""
    try:
        return session.outcome(alternates=alternates).model_dump(exclude=NOTHING_OF_THE_SET)
    except BadBrief as error:
        return str(error)


def play(folder, home, changes, alternates=0):
    """Yield what a session tells after each change, and what one tells that is opened on a copy of then."""
    here = copied(folder, home / "catalog")
    forget_all()
    session, steps = Catalog.open(here).session(BRIEF), []
    told(session, alternates)
    for number, one in enumerate([*changes, ("settle",)]):
        try:
            do(session, *one)
        except BadBrief:
            continue
        if session.unmeasured:  # until it settles, a session tells what it knows of a turned frame without a look at it
            told(session, alternates)
            continue
        then = copied(here, home / f"after {number}")
        steps.append((then, session.brief, told(session, alternates)))
    for then, brief, warm in steps:
        forget_all()
        yield warm, told(Catalog.open(then).session(brief), alternates)


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(change, min_size=1, max_size=6))
def test_a_warm_session_tells_what_a_cold_one_tells(folder, changes):
    with tempfile.TemporaryDirectory() as home:
        for warm, cold in play(folder, Path(home), changes):
            assert warm == cold


@settings(max_examples=5, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(change, min_size=1, max_size=4))
def test_alternates_of_a_warm_session_are_those_of_a_cold_one(folder, changes):
    with tempfile.TemporaryDirectory() as home:
        for warm, cold in play(folder, Path(home), changes, alternates=3):
            assert warm == cold
