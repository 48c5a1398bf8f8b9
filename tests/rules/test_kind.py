"""Documents and screens: no place in a set unless the brief asks for them."""

from dataclasses import replace

import pytest

from setsolver.domain.measures import Kind
from setsolver.errors import TooFewFrames
from setsolver.rules import assemble
from tests.rules.brute import paths_of
from tests.rules.builders import make_brief, make_frame, make_snapshot


def page(number, said=None, odds=(0.05, 0.9, 0.05)):
    frame = make_frame(number)
    return replace(frame, measures=replace(frame.measures, kind=Kind(*odds)), said_kind=said)


def test_trivial_photographs_and_frames_of_unknown_kind_stay():
    frames = [page(0, odds=(0.9, 0.05, 0.05)), make_frame(1), make_frame(2)]
    assert len(paths_of(assemble(make_snapshot(*frames), make_brief(size=2)))) == 3


def test_feasible_a_document_is_out_and_the_rest_makes_a_set():
    assembly = assemble(make_snapshot(page(0), make_frame(1), make_frame(2)), make_brief(size=2))
    assert paths_of(assembly) == {frozenset({"frame-0001.jpg", "frame-0002.jpg"})}
    (out,) = assembly.ruled_out
    assert (out.rule, out.frames) == ("kind", 1)
    assert out.says == "1 frame that is no photograph (a document, a screen or a graphic)"
    assert "kind=photograph" in out.way_out


def test_infeasible_where_too_few_are_photographs():
    shoot = make_snapshot(page(0), page(1, odds=(0.1, 0.1, 0.8)), make_frame(2))
    with pytest.raises(TooFewFrames, match=r"only 1 of 3 frames can be used: 2 frames that are no photographs"):
        assemble(shoot, make_brief(size=2))


def test_the_photographer_s_word_counts():
    assert len(paths_of(assemble(make_snapshot(page(0, "photograph"), make_frame(1)), make_brief(size=2)))) == 1
    said = replace(make_frame(0), said_kind="document")
    with pytest.raises(TooFewFrames):
        assemble(make_snapshot(said, make_frame(1)), make_brief(size=2))


def test_a_wish_is_stronger():
    brief = make_brief(size=2, frames={"include": ["frame-0000.jpg"]})
    assembly = assemble(make_snapshot(page(0), make_frame(1)), brief)
    assert len(paths_of(assembly)) == 1
    (note,) = assembly.notes  # what a wish waives is said
    assert note.startswith("frame-0000.jpg is in at your wish (include), although it seems to be a document")
