"""Variety: places in content space, and what they pay."""

import numpy as np
import pytest

from setsolver.domain.validate import score_terms
from setsolver.rules import assemble, ledger
from setsolver.rules.principal import principal
from setsolver.rules.variety import DIMENSIONS, SCALE_SPREAD, content_places
from tests.rules.builders import make_brief, make_frame, make_random_snapshot, make_snapshot


def test_places_have_unit_length_and_few_dimensions():
    for count in (2, 5, 200):
        places = content_places(make_random_snapshot(count, 1).frames)
        assert places.shape == (count, min(DIMENSIONS, count))
        assert np.linalg.norm(places, axis=1) == pytest.approx(np.ones(count), abs=1e-6)


def test_a_single_frame_has_a_place():
    assert content_places((make_frame(0),)) == pytest.approx(np.zeros((1, 1)))


def test_equal_embeddings_have_equal_places_and_opposite_ones_lie_far_apart():
    ahead, aside = (1.0, 0.0), (0.0, 1.0)
    frames = tuple(make_frame(i, place=place) for i, place in enumerate([ahead, ahead, aside, aside]))
    places = content_places(frames)
    assert places[0] == pytest.approx(places[1], abs=1e-3)
    assert ((places[0] - places[2]) ** 2).sum() == pytest.approx(4, abs=1e-3)


def test_both_ways_to_the_principal_axes_agree():
    few = content_places(make_random_snapshot(40, 2).frames)
    vectors = np.random.default_rng(0).normal(size=(60, 30)).astype(np.float32)
    vectors -= vectors.mean(axis=0)
    tall, wide = principal(vectors, DIMENSIONS), principal(np.pad(vectors, ((0, 0), (0, 100))), DIMENSIONS)
    assert tall @ tall.T == pytest.approx(wide @ wide.T, abs=1e-3)
    assert len(few) == 40


def test_the_line_names_the_closest_pair_and_holds_all_of_variety():
    places = [(1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.9, 0.3, 0.0), (0.0, 0.0, 1.0)]
    snapshot = make_snapshot(*(make_frame(i, place=place) for i, place in enumerate(places)))
    assembly = assemble(snapshot, make_brief(weights={"variety": 12}))
    rows = [next(i for i, r in enumerate(assembly.renditions) if r.frame.id == frame) for frame in (0, 1, 2)]
    look = assembly.problem.tone[rows].mean(axis=0)
    line = next(line for line in ledger(assembly, rows, [1, 1, 1], look) if line.rule == "variety")
    assert line.points == pytest.approx(score_terms(assembly.problem, rows, [1, 1, 1], look).variety.sum())
    assert line.frames == ("frame-0000.jpg", "frame-0002.jpg")


def test_renditions_of_one_frame_stand_a_little_apart_where_they_differ_in_scale():
    assembly = assemble(make_snapshot(make_frame(0, "wide", inner="close")), make_brief(size=1))
    place = assembly.problem.place
    assert len(place) == 3
    assert 0 < np.linalg.norm(place[0] - place[2]) <= SCALE_SPREAD * np.sqrt(2)


def test_variety_that_weighs_nothing_says_nothing():
    snapshot = make_snapshot(*(make_frame(i) for i in range(3)))
    assembly = assemble(snapshot, make_brief(weights={"variety": 0}))
    rows = [next(i for i, r in enumerate(assembly.renditions) if r.frame.id == frame) for frame in (0, 1, 2)]
    look = assembly.problem.tone[rows].mean(axis=0)
    assert not [line for line in ledger(assembly, rows, [1, 1, 1], look) if line.rule == "variety"]
