"""People: where few frames of a shoot show any, those that do earn most."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.rules import assemble
from setsolver.rules.people import People, rare_people
from tests.rules.builders import make_brief, make_frame, make_snapshot

CHANCES = st.lists(st.floats(0, 1) | st.just(float("nan")), min_size=1, max_size=9)


def peopled(number, chance):
    frame = make_frame(number)
    return replace(frame, measures=replace(frame.measures, people=chance))


def paid(*chances):
    """Return what each frame's largest crop earns before weights."""
    frames = [peopled(i, chance) for i, chance in enumerate(chances)]
    assembly = assemble(make_snapshot(*frames), make_brief(size=1))
    gains = assembly.parts.gains["people"].max(axis=1)
    return [
        next(g for g, r in zip(gains, assembly.renditions, strict=True) if r.frame.id == i) for i in range(len(frames))
    ]


def test_trivial_a_shoot_without_people_pays_nobody():
    assert paid(0.0, 0.0, 0.0) == [0, 0, 0]


def test_trivial_where_everybody_shows_people_nobody_earns():
    assert paid(1.0, 1.0, 1.0) == [0, 0, 0]


def test_feasible_on_a_trip_the_one_frame_with_somebody_earns_what_the_others_lack():
    assert paid(0.0, 0.0, 1.0, 0.0) == pytest.approx([0, 0, 0.75, 0])  # a quarter of frames has people: 1 - 0.25


def test_feasible_at_an_event_people_earn_little():
    assert paid(0.9, 0.9, 0.1, 0.9) == pytest.approx([0.27, 0.27, 0.03, 0.27])  # mean chance 0.7: 0.3 times the chance


def test_infeasible_nothing_is_ruled_out_and_the_unknown_counts_as_the_mean():
    assert paid(1.0, None, 0.5) == pytest.approx([0.25, 0.1875, 0.125])
    assert paid(None, None) == [0, 0]


def said(*chances):
    """Return what is said of the first frame."""
    frames = [peopled(i, chance) for i, chance in enumerate(chances)]
    assembly = assemble(make_snapshot(*frames), make_brief(size=1))
    row = next(k for k, one in enumerate(assembly.renditions) if one.frame.id == 0)
    return People().says(assembly.member(row, 0))


def test_people_are_said_to_be_few_only_where_they_are():
    assert said(1.0, 0.0, 0.0, 0.0) == "people, whom few frames of the shoot show"
    assert said(0.9, 0.8, 0.1, None) == "people, as in 2 of 3 frames of the shoot"  # one was not looked at
    assert said(1.0) == "people, as in 1 of 1 frame of the shoot"
    assert said(0.2, 0.9) == "nobody to be seen"
    assert said(None, 0.9) == "not looked at for people yet"


@given(CHANCES)
def test_what_is_paid_lies_between_nothing_and_the_chance_and_grows_with_it(chances):
    given_ = np.array(chances)
    got = rare_people(given_)
    known = ~np.isnan(given_)
    assert ((got >= 0) & (got <= 1)).all()
    assert (got[known] <= given_[known] + 1e-12).all()
    order = np.argsort(given_[known])
    assert (np.diff(got[known][order]) >= -1e-12).all()


@given(st.lists(st.floats(0, 1), min_size=2, max_size=9))
def test_the_rarer_people_are_the_more_a_frame_with_them_earns(chances):
    few, many = rare_people(np.array([1.0, *np.zeros(len(chances))])), rare_people(np.array([1.0, *chances]))
    assert many[0] <= few[0] + 1e-12
