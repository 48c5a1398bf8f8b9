"""Borders: points for crops whose borders run where nobody minds; trivial, lost in part, lost in full."""

import numpy as np
import pytest

from setsolver.domain.measures import CROP_MAP_STEPS, Tilt
from setsolver.rules import assemble, ledger
from setsolver.rules.borders import THROUGH, UNKNOWN
from setsolver.rules.composition import PRAISE
from tests.rules.builders import make_brief, make_frame, make_snapshot

SQUARE = {"aspect": "1:1", "size": 1}
PLACES = 2 * 2 * 14
"""Places on either side of both upright borders of a square in the middle of a 3 : 2 frame."""


def told(logit, **changes):
    """Points of 100 and words for the best crop of a frame, a border through any place of which is worth ``logit``."""
    maps = np.zeros((2, 14, 14), np.int8)
    maps[1] = round(logit * CROP_MAP_STEPS[1])
    frame = make_frame(0, confidence=1.0, crop_map=maps)
    brief = make_brief(weights={"borders": 100, "composition": 1}, size=1, **changes)
    assembly = assemble(make_snapshot(frame), brief)
    lines = {line.rule: line for line in ledger(assembly, [0], [1], assembly.problem.tone[0])}
    return lines["borders"].points, lines["borders"].says, lines["composition"].says


def test_trivial_a_border_through_nothing_earns_all():
    points, says, framing = told(0.0, aspect="1:1")
    assert points == pytest.approx(100)
    assert says == "borders run through nothing that should be whole"
    assert PRAISE["edges"] in framing


def test_a_border_is_charged_for_every_place_that_it_runs_through():
    """By hand: a square in the middle of the frame has two borders, 28 places each; one that keeps to an end has one.

    Where borders cost more than the middle is worth, a crop keeps to an end (the next test).
    """
    points, says, framing = told(-0.01, aspect="1:1")
    assert (100 - points) / 100 * THROUGH / 0.01 == pytest.approx(PLACES, abs=1e-6)
    assert says == "a border is a little tight"
    assert PRAISE["edges"] not in framing


def test_much_is_said_as_what_it_is():
    points, says, _ = told(-0.05, aspect="1:1")
    assert points == pytest.approx(100 * (1 - 0.05 * PLACES / 2 / THROUGH), abs=0.1)
    assert says == "a border runs through what should be whole"


def test_no_more_than_all_is_lost():
    maps = np.full((2, 14, 14), -100, np.int8)
    assembly = assemble(make_snapshot(make_frame(0, crop_map=maps)), make_brief(weights={"borders": 100}, **SQUARE))
    assert assembly.parts.gains["borders"].max() == 0


def test_where_the_frame_itself_ends_nothing_is_cut():
    """What the frame's own borders cut, nobody has looked at: no word of praise for it."""
    points, says, _ = told(-0.2)
    assert points == pytest.approx(100)
    assert says == "the borders are the frame's own"


def words(assembly, row=0):
    """What a set of one crop is told of borders and of composition."""
    lines = {line.rule: line for line in ledger(assembly, [row], [1], assembly.problem.tone[row])}
    return lines["borders"].says, lines["composition"].says


BOTH = {"borders": 100, "composition": 1}


def test_a_crop_without_a_map_earns_what_crops_usually_do_and_nothing_is_claimed_of_its_borders():
    """After a quick scan nobody knows what a border runs through."""
    assembly = assemble(make_snapshot(make_frame(0, confidence=1.0)), make_brief(weights=BOTH, **SQUARE))
    assert assembly.parts.gains["borders"] == pytest.approx(UNKNOWN)
    says, framing = words(assembly)
    assert says == "what the borders run through is not told yet; counted as what crops usually earn"
    assert PRAISE["edges"] not in framing


def test_a_whole_frame_without_a_map_has_no_borders_of_its_own():
    assembly = assemble(make_snapshot(make_frame(0, confidence=1.0)), make_brief(weights=BOTH, size=1))
    whole = [row for row, one in enumerate(assembly.renditions) if one.crop.area == 1]
    assert assembly.parts.gains["borders"][whole] == pytest.approx(1)
    assert words(assembly, whole[0])[0] == "the borders are the frame's own"


def test_what_is_not_known_is_worth_less_than_what_is_good_and_more_than_what_is_bad():
    """Frames side by side of which a quick scan has left one; all of a quick scan's crops are worth the same."""
    maps = {0: np.zeros((2, 14, 14), np.int8), 1: None, 2: np.full((2, 14, 14), -3, np.int8)}
    frames = [make_frame(number, crop_map=one) for number, one in maps.items()]
    assembly = assemble(make_snapshot(*frames), make_brief(weights={"borders": 100}, aspect="1:1", size=3))
    paid = [
        assembly.parts.gains["borders"][[one.frame is frame for one in assembly.renditions]].max() for frame in frames
    ]
    assert paid[0] == pytest.approx(1)
    assert paid[0] > paid[1] > paid[2]


def test_a_levelled_crop_has_borders_of_its_own_on_all_sides():
    frame = make_frame(0, tilt=Tilt(2.0, 1.0, 0.6), crop_map=np.full((2, 14, 14), -1, np.int8))
    assembly = assemble(make_snapshot(frame), make_brief(weights={"borders": 100}, size=1))
    rows = [row for row, one in enumerate(assembly.renditions) if one.level]
    assert rows
    assert assembly.parts.gains["borders"][rows].max() < 1
    assert all("frame's own" not in line.says for line in ledger(assembly, rows[:1], [1], assembly.problem.tone[0]))
