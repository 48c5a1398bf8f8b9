"""Frames on their side: out until the photographer says how they stand."""

from dataclasses import replace

import pytest

from setsolver.domain.measures import Upright
from setsolver.errors import TooFewFrames
from setsolver.rules import assemble
from tests.rules.brute import paths_of
from tests.rules.builders import make_brief, make_frame, make_snapshot


def lying(number, turn=90, said=None):
    frame = make_frame(number)
    return replace(frame, measures=replace(frame.measures, upright=Upright(turn, 0.99)), turn=said)


def test_trivial_upright_frames_stay():
    frames = [lying(0, 0), lying(1, None), make_frame(2)]
    assert len(paths_of(assemble(make_snapshot(*frames), make_brief(size=2)))) == 3


def test_feasible_a_frame_on_its_side_is_out_and_the_rest_makes_a_set():
    assembly = assemble(make_snapshot(lying(0), make_frame(1), make_frame(2)), make_brief(size=2))
    assert paths_of(assembly) == {frozenset({"frame-0001.jpg", "frame-0002.jpg"})}
    (out,) = assembly.ruled_out
    assert (out.rule, out.frames, out.examples) == ("upright", 1, ("frame-0000.jpg",))
    assert "frames --set FRAME turn=90" in out.says


def test_infeasible_where_too_few_stand_upright():
    with pytest.raises(TooFewFrames, match=r"only 1 of 3 frames can be used: 2 frames that need turning upright first"):
        assemble(make_snapshot(lying(0), lying(1, 180), make_frame(2)), make_brief(size=2))


@pytest.mark.parametrize("said", [0, 90])
def test_what_the_photographer_says_counts(said):
    assembly = assemble(make_snapshot(lying(0, said=said), make_frame(1)), make_brief(size=2))
    assert len(paths_of(assembly)) == 1


def test_a_wish_is_stronger():
    brief = make_brief(size=2, frames={"include": ["frame-0000.jpg"]})
    assert len(paths_of(assemble(make_snapshot(lying(0), make_frame(1)), brief))) == 1
