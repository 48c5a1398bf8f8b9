"""The whole assembly: what it hands to the solver, and that its ledger adds up."""

import time

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from setsolver.crops.renditions import FACE_SHARE
from setsolver.domain.brief import Weights
from setsolver.domain.geometry import Box, corners_on_frame
from setsolver.domain.rendition import COLOUR_AXES
from setsolver.domain.validate import score_terms
from setsolver.rules import assemble, ledger
from setsolver.rules.registry import terms
from setsolver.rules.term import AxisTerm
from tests.rules.brute import valid_sets
from tests.rules.builders import make_brief, make_frame, make_random_snapshot, make_shoot, make_snapshot

briefs = st.builds(
    make_brief,
    size=st.integers(1, 5),
    aspect=st.sampled_from(["1:1", "3:2", "4:5", "16:9"]),
    print_cm=st.sampled_from([10, 20, 40]),
    tone=st.fixed_dictionaries({"treatment": st.sampled_from(["colour", "mono"])}),
    repeats=st.fixed_dictionaries({"moment": st.integers(1, 2), "scene": st.sampled_from([None, 1, 3])}),
)

OF_AXES = {term.key.removeprefix("weights.") for term in terms() if isinstance(term, AxisTerm)}
SAME_AXES = sorted(set(Weights.model_fields) - OF_AXES | {"tone"})
"""Weights that leave the axes of a look as they are; tone has its reach, whatever it weighs."""


def any_set(problem, rng):
    """Return rows of different frames, a role that each can play, and some look: a set, valid or not."""
    frames = rng.permutation(np.unique(problem.frame))[: problem.size]
    chosen = [int(rng.choice(np.flatnonzero(problem.frame == frame))) for frame in frames]
    roles = [int(rng.choice(np.flatnonzero(~np.isnan(problem.gain[row])))) for row in chosen]
    return chosen, roles, problem.tone[chosen].mean(axis=0) + rng.normal(size=problem.tone.shape[1])


@settings(max_examples=20, deadline=None)
@given(briefs, st.integers(0, 10_000))
def test_the_ledger_of_any_set_adds_up_to_its_score(brief, seed):
    assembly = assemble(make_random_snapshot(30, seed), brief)
    chosen, roles, look = any_set(assembly.problem, np.random.default_rng(seed))
    lines = ledger(assembly, chosen, roles, look)
    score = score_terms(assembly.problem, chosen, roles, look).score
    assert sum(line.points for line in lines) == pytest.approx(score, abs=1e-9)
    assert all(line.says for line in lines)


@settings(max_examples=20, deadline=None)
@given(briefs, st.integers(0, 10_000))
def test_gains_are_0_to_1_and_their_weighted_sum_is_that_of_the_problem(brief, seed):
    assembly = assemble(make_random_snapshot(30, seed), brief)
    parts = assembly.parts
    assert all(part.min() >= 0 and part.max() <= 1 for part in parts.gains.values())
    total = sum(assembly.weights[term] * part for term, part in parts.gains.items())
    np.testing.assert_allclose(np.where(parts.playable, total, np.nan), assembly.problem.gain, atol=1e-12)


@settings(max_examples=20, deadline=None)
@given(briefs, st.integers(0, 10_000), st.dictionaries(st.sampled_from(SAME_AXES), st.floats(0, 90)))
def test_the_score_is_weights_times_phi_and_other_weights_change_nothing_else(brief, seed, other):
    assembly = assemble(make_random_snapshot(30, seed), brief)
    chosen, roles, look = any_set(assembly.problem, np.random.default_rng(seed))
    found = assembly.chosen_set(chosen, roles, look)
    assert assembly.score(found.phi) == pytest.approx(
        score_terms(assembly.problem, chosen, roles, look).score, abs=1e-9
    )
    reweighed = assembly.reweighed(Weights.model_validate(brief.weights.model_dump() | other))
    assume((brief.weights.tone > 0) == (reweighed.brief.weights.tone > 0))  # what costs nothing is worth its best look
    assert reweighed.parts is assembly.parts
    assert reweighed.renditions is assembly.renditions
    again = reweighed.chosen_set(chosen, roles, look)
    assert again.phi == found.phi
    assert reweighed.score(again.phi) == pytest.approx(
        score_terms(reweighed.problem, chosen, roles, look).score, abs=1e-9
    )
    fresh = assemble(assembly.snapshot, reweighed.brief).problem.to_arrays()
    for key, array in reweighed.problem.to_arrays().items():
        np.testing.assert_array_equal(array, fresh[key])


@settings(max_examples=20, deadline=None)
@given(briefs, st.integers(0, 10_000))
def test_renditions_lie_on_their_frames_and_have_aspect_pixels_and_faces(brief, seed):
    assembly = assemble(make_random_snapshot(30, seed), brief)
    for rendition in assembly.renditions:
        frame = rendition.frame
        corners = corners_on_frame(rendition.crop, rendition.level, frame.aspect)
        assert corners.min() >= -1e-9
        assert corners.max() <= 1 + 1e-9
        assert rendition.crop.w * frame.aspect / rendition.crop.h == pytest.approx(brief.aspect_ratio)
        assert max(rendition.width, rendition.height) >= brief.print_cm / 2.54 * brief.min_ppi - 1
        assert sum(rendition.odds) == pytest.approx(1.0)
        if rendition.level == 0:
            for face in frame.measures.faces:
                inside = face.box.overlap(rendition.crop) / face.box.overlap(Box(0, 0, 1, 1))
                assert inside >= FACE_SHARE - 1e-9


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 10_000))
def test_rows_are_aligned_with_frames_groups_and_tones(seed):
    assembly = assemble(make_random_snapshot(30, seed), make_brief(repeats={"moment": 1, "scene": 2}))
    problem = assembly.problem
    for row, rendition in enumerate(assembly.renditions):
        assert problem.frame[row] == rendition.frame.id
        assert problem.group[:, row].tolist() == [rendition.frame.moment, rendition.frame.scene]
        assert problem.tone[row].tolist() == [getattr(rendition.tone, axis) for axis in COLOUR_AXES]


def test_the_same_catalog_and_brief_give_the_same_problem():
    first, second = (assemble(make_random_snapshot(40, 3), make_brief()).problem.to_arrays() for _ in range(2))
    for key, array in first.items():
        np.testing.assert_array_equal(array, second[key])


def test_a_plain_shoot_has_valid_sets_of_every_role():
    brief = make_brief(roles={"wide": [1, 1], "medium": [1, 1], "close": [1, 1]})
    sets = list(valid_sets(assemble(make_shoot(6), brief)))
    assert sets
    assert all(sorted(roles) == [0, 1, 2] for _, roles, _ in sets)


def test_a_brief_that_no_set_satisfies_is_assembled_all_the_same():
    snapshot = make_snapshot(*(make_frame(i, "wide") for i in range(4)))
    assembly = assemble(snapshot, make_brief(roles={"wide": [1, 2], "close": [1, 2]}))
    assert not list(valid_sets(assembly))
    assert assembly.says("role_min[1]").startswith("at least 1 close frame (no frame can; nearest is frame-000")


def test_ruled_out_frames_are_counted_once_each_and_have_a_reason():
    frames = [make_frame(0), make_frame(1, rating=-1), make_frame(2, size=(1200, 800)), make_frame(3), make_frame(4)]
    assembly = assemble(make_snapshot(*frames), make_brief())
    assert {(out.rule, out.frames) for out in assembly.ruled_out} == {("rejection", 1), ("resolution", 1)}
    assert set(assembly.reasons) == {1, 2}
    assert "1200 pixels" in assembly.reasons[2]


@pytest.mark.slow
def test_thousands_of_frames_are_assembled_in_seconds():
    snapshot = make_random_snapshot(3_000, 1)
    started = time.perf_counter()
    assembly = assemble(snapshot, make_brief(size=6, aspect="1:1"))
    seconds = time.perf_counter() - started
    assert assembly.problem.renditions > 3_000
    assert seconds < 15, f"{seconds:.1f} s"  # about 1 s on an idle core; the margin is for busy machines


def test_a_rule_with_a_place_of_its_own_or_without_is_said_in_words():
    shoot = make_snapshot(*(make_frame(i) for i in range(4)), pairs=((0, 1), (2, 3)))
    assembly = assemble(shoot, make_brief())
    assert assembly.says("conflict[1]") == "frame-0002.jpg and frame-0003.jpg are one picture to a viewer"
    assert assembly.says("size[0]") == assembly.says("size")
    assert assembly.says("gain[:,1]") != assembly.says("gain[:,0]")
    assert assembly.says("of nobody[3]") == "of nobody[3]"
    assert assembly.says("size") == "the set has 3 frames"


def test_a_modest_assembly_asks_for_one_frame():
    shoot = make_snapshot(*(make_frame(i) for i in range(2)))
    assembly = assemble(shoot, make_brief(size=3), modest=True)
    assert assembly.problem.size == 1
    assert assembly.says("size") == "the set has 1 frame"
