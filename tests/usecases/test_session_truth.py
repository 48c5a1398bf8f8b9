"""Sessions against the truth: every set is tried, under slots, wishes, kinship axes and weights in random order."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from setsolver.domain.measures import CLIP_SIZE, Clip, Palette
from setsolver.errors import BadBrief
from setsolver.rules import assemble
from setsolver.usecases.session import Session
from tests.rules.builders import make_brief, make_random_snapshot, make_snapshot
from tests.rules.tried import best_score, tried

WIDE_REACH = {"black": 40, "mid": 60, "white": 40, "cast": 40}
KINSHIP = {
    "content": 8.0,
    "light": 0.2,
    "palette": 0.2,
    "time": 0.9,
    "mono": 20.0,
    "kept": 15.0,
    "solid": 20.0,
    "tone": 0.1,
}
SLOTS = [
    {"name": "lead", "role": "wide", "aspect": "3:2", "print_cm": 40, "min_ppi": 80},
    {"name": "upright", "role": "medium", "aspect": "2:3", "print_cm": 20, "min_ppi": 80, "count": [0, 2]},
    {"name": "detail", "role": "close", "aspect": "1:1", "print_cm": 20, "min_ppi": 80, "count": [0, 2]},
]


def make_kin(count, seed):
    """Return a random catalog whose frames have a palette and an embedding as well, so that every kinship counts."""
    rng = np.random.default_rng(seed)
    none = np.zeros(CLIP_SIZE[1], np.float16)
    return make_snapshot(
        *(
            replace(
                frame,
                moment=frame.id // 2,
                measures=replace(
                    frame.measures,
                    palette=Palette(*(rng.normal(size=2) * 15), abs(rng.normal()) * 20),
                    clip=Clip(rng.normal(size=CLIP_SIZE[0]).astype(np.float16), none, none),
                ),
            )
            for frame in make_random_snapshot(count, seed).frames
        )
    )


SHOOT = make_kin(7, 11)
PATHS = [frame.path for frame in SHOOT.frames]
BRIEF = make_brief(size=3, slot=SLOTS, tone={"reach": WIDE_REACH}, weights=KINSHIP)


def truth(brief):
    """Return the best score of all sets that break no rule, None where there is none."""
    try:
        return best_score(assemble(SHOOT, brief).problem)
    except BadBrief:
        return None


path = st.sampled_from(PATHS)
gain = st.tuples(st.sampled_from(["quality", "role", "variety", "kept", "solid"]), st.sampled_from([0.0, 10.0, 60.0]))
axis = st.tuples(
    st.sampled_from(["content", "light", "palette", "time", "mono", "tone"]), st.sampled_from([0.0, 0.2, 1.0])
)
change = st.one_of(
    st.tuples(st.just("pin"), path),
    st.tuples(st.just("bar"), path),
    st.tuples(st.just("free"), path),
    st.tuples(st.just("reweigh"), st.one_of(gain, axis)),
    st.tuples(st.just("size"), st.sampled_from([2, 3])),
    st.tuples(st.just("undo")),
    st.tuples(st.just("redo")),
)


def do(session, verb, *said):
    try:
        if verb == "reweigh":
            session.reweigh(**dict(said))
        elif verb == "size":
            session.change(size=said[0])
        else:
            getattr(session, verb)(*said)
    except BadBrief:
        pass


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(change, min_size=1, max_size=5))
def test_after_any_changes_a_session_finds_what_trying_all_sets_finds(changes):
    session = Session(SHOOT, BRIEF)
    for one in changes:
        do(session, *one)
        expected = truth(session.brief)
        try:
            found = session.solve().best
        except BadBrief:
            found = None
        assert (found is None) == (expected is None)
        if found is None:
            continue
        assert found.proven
        assert found.score == pytest.approx(expected, abs=1e-6)
        assert sum(line.points for line in found.ledger) == pytest.approx(found.score, abs=1e-6)
        assert session.assembly.score(found.terms) == pytest.approx(found.score, abs=1e-6)
        paths = {frame.path for frame in found.frames}
        assert set(session.brief.frames.include) <= paths
        assert not paths & set(session.brief.frames.exclude)


@pytest.mark.parametrize("path_", [PATHS[0], PATHS[5]])
def test_a_wish_that_fits_ill_opens_no_more_nodes_than_there_are_sets(path_):
    session = Session(SHOOT, BRIEF)
    session.reweigh(tone=1.0)
    session.pin(path_)
    solution = session.solution_of(session.assembly)
    assert solution.best.proven
    assert solution.best.score == pytest.approx(truth(session.brief), abs=1e-6)
    assert solution.nodes < math.comb(session.assembly.problem.renditions, BRIEF.size)


def test_swaps_in_slots_are_the_best_that_keep_all_others_and_the_best_around_each():
    session = Session(SHOOT, BRIEF)
    assembly, best = session.assembly, session.solve().best
    sets = [(score, {*zip(rows.tolist(), roles, strict=True)}) for rows, roles, score in tried(assembly.problem)]
    _, members = max(sets, key=lambda one: one[0])
    around: dict[str, float] = {}
    for score, here in sets:
        for row, _ in here:
            path_ = assembly.renditions[row].frame.path
            around[path_] = max(score, around.get(path_, -np.inf))
    for place, frame in enumerate(best.frames, 1):
        (leaving,) = (one for one in members if assembly.renditions[one[0]].frame.path == frame.path)
        kept, alone = members - {leaving}, dict[str, float]()
        for score, here in sets:
            (row, role), *more = here - kept
            path_ = assembly.renditions[row].frame.path
            if not more and role == leaving[1] and path_ != frame.path:
                alone[path_] = max(score, alone.get(path_, -np.inf))
        found = {swap.path: swap for swap in session.swaps(place, most=20)}
        assert found.keys() == alone.keys()
        for path_, swap in found.items():
            assert swap.proven
            assert swap.found.score == pytest.approx(alone[path_], abs=1e-6)
            assert swap.best.score == pytest.approx(around[path_], abs=1e-6)
            assert sum(line.points for line in swap.found.ledger) == pytest.approx(swap.found.score, abs=1e-6)


@pytest.mark.parametrize("differ", [1, 2])
def test_an_alternate_is_proven_the_best_that_differs(differ):
    session = Session(make_kin(10, 3), BRIEF)
    assembly = session.assembly
    best, other = session.outcome(alternates=1, differ=differ).sets
    moments = {frame.moment for frame in best.frames}
    scores = [
        score
        for rows, _, score in tried(assembly.problem)
        if sum(assembly.renditions[row].frame.moment in moments for row in rows) <= BRIEF.size - differ
    ]
    assert other.proven
    assert other.score == pytest.approx(max(scores), abs=1e-6)
