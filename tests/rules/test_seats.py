"""Seats: a frame in one slot only."""

from dataclasses import replace

import numpy as np
import pytest

from setsolver.domain.measures import ScaleOdds
from setsolver.errors import BadBrief, WishClash
from setsolver.rules import assemble
from setsolver.rules.seats import seats_of
from setsolver.usecases.assembling import Assembler
from tests.rules.brute import valid_sets
from tests.rules.builders import make_brief, make_frame, make_snapshot

EITHER = ScaleOdds(0.5, 0.1, 0.4)


def shoot():
    return make_snapshot(*(make_frame(i, EITHER) for i in range(3)))


def brief(**frames):
    return make_brief(size=2, roles={"wide": [1, 1], "close": [1, 1]}, frames=frames)


def sets(assembly):
    frame = assembly.problem.frame
    return {tuple(zip(frame[list(rows)].tolist(), roles, strict=True)) for rows, roles, _ in valid_sets(assembly)}


def test_trivial_without_seats_each_plays_either():
    assert {role for found in sets(assemble(shoot(), brief())) for frame, role in found if frame == 0} == {0, 1}


def test_feasible_a_seated_frame_plays_its_slot_alone_and_the_others_any():
    found = sets(assemble(shoot(), brief(include=["frame-0000.jpg"], slots={"frame-0000.jpg": "close"})))
    assert found
    assert all((0, 1) in one for one in found)


def test_infeasible_a_slot_that_it_cannot_play_is_a_clash_with_its_way_out():
    snapshot = make_snapshot(make_frame(0, "wide"), make_frame(1, EITHER), make_frame(2, EITHER))
    with pytest.raises(WishClash, match=r"cannot play close, the slot that you gave it \(give it another slot"):
        assemble(snapshot, brief(include=["frame-0000.jpg"], slots={"frame-0000.jpg": "close"}))


def test_two_in_a_slot_for_one_are_a_clash():
    both = {"frame-0000.jpg": "wide", "frame-0001.jpg": "wide"}
    with pytest.raises(WishClash, match="2 wide frames are wished, room for 1"):
        assemble(shoot(), brief(include=list(both), slots=both))


@pytest.mark.parametrize(
    ("slots", "says"), [({"frame-0009.jpg": "wide"}, "no frame of"), ({"frame-0000.jpg": "hall"}, "is no slot of")]
)
def test_a_frame_or_a_slot_that_is_none_is_said(slots, says):
    with pytest.raises(BadBrief, match=says):
        assemble(shoot(), brief(slots=slots))


def test_accents_in_the_other_form_name_the_same_frame():
    """NFC and NFD (Unicode Standard Annex #15) of one name: a brief typed on one system, files named on another."""
    frames = [replace(make_frame(i, EITHER), path=path) for i, path in enumerate(("kru\u0308ge.jpg", "b.jpg", "c.jpg"))]
    wished = brief(slots={"kr\u00fcge.jpg": "close"})
    assert seats_of(wished, make_snapshot(*frames)) == {0: wished.role_names.index("close")}


@pytest.mark.parametrize("slot", ["wide", "close"])
@pytest.mark.parametrize("include", [[], ["frame-0000.jpg"], ["frame-0000.jpg", "frame-0001.jpg"]])
def test_a_warm_assembly_is_the_one_made_anew(slot, include):
    wanted = brief(include=include, slots={"frame-0000.jpg": slot})
    warm, cold = Assembler(shoot()).assembly(wanted), assemble(shoot(), wanted)
    assert sets(warm) == sets(cold)
    assert np.isnan(warm.problem.gain).sum() >= np.isnan(cold.problem.gain).sum()
