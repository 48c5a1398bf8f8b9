"""People: where a shoot is about people, frames without them earn less."""

from dataclasses import replace

import pytest

from setsolver.rules import assemble
from setsolver.rules.people import about_people
from tests.rules.builders import make_brief, make_frame, make_snapshot


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
    assert paid(0.1, 0.0, 0.2) == [0, 0, 0]


def test_feasible_at_an_event_the_empty_room_earns_least():
    assert paid(0.9, 0.9, 0.05, 0.9, 0.9, 0.9) == pytest.approx([0.9, 0.9, 0.05, 0.9, 0.9, 0.9])


def test_infeasible_nothing_is_ruled_out_and_the_unknown_counts_as_the_mean():
    assert paid(1.0, None, 0.8) == pytest.approx([1.0, 0.9, 0.8])
    assert paid(None, None) == [0, 0]


@pytest.mark.parametrize(("share", "about"), [(0.3, 0.0), (0.55, 0.5), (0.8, 1.0), (1.0, 1.0)])
def test_a_shoot_is_about_people_by_the_share_of_frames_that_show_some(share, about):
    frames = tuple(peopled(i, 0.9 if i < 20 * share else 0.1) for i in range(20))
    assert about_people(frames) == pytest.approx(about)
