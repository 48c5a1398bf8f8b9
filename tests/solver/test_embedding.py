"""Embedded places bound the sum of distances of every set from above, and equal it where nothing is cut."""

import numpy as np
import pytest

from setsolver.domain.problem import Problem
from setsolver.solver import embedding
from setsolver.solver.embedding import embedded


def problem_of(kind, total, dims, seed):
    rng = np.random.default_rng(seed)
    return Problem.from_arrays(
        {
            "size": 5,
            "gain": np.zeros((total, 1)),
            "place": rng.normal(0, 1, (total, dims)),
            "variety_weight": 1.0,
            "variety_kind": kind,
        }
    )


def both(problem, place, own, chosen):
    spot = problem.place[chosen]
    gaps = np.linalg.norm(spot[:, None] - spot[None], axis=2)
    truth = (gaps if problem.variety_kind == "euclidean" else gaps**2).sum() / 2
    return truth, len(chosen) * own[chosen].sum() - (place[chosen].sum(axis=0) ** 2).sum()


@pytest.mark.parametrize("kind", ["squared", "euclidean"])
@pytest.mark.parametrize("dims", [1, 3, 12, 500])
def test_exact_where_nothing_is_cut(kind, dims):
    problem = problem_of(kind, 60, dims, dims)
    place, own = embedded(problem, np.arange(60))
    rng = np.random.default_rng(0)
    for _ in range(50):
        truth, value = both(problem, place, own, rng.choice(60, 5, replace=False))
        assert value == pytest.approx(truth, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("kind", ["squared", "euclidean"])
def test_never_below_the_truth_where_dimensions_are_cut(kind, monkeypatch):
    monkeypatch.setattr(embedding, "MOST_DIMS", 4)
    monkeypatch.setattr(embedding, "FULL_ITEMS", 10)
    problem = problem_of(kind, 60, 12, 7)
    place, own = embedded(problem, np.arange(60))
    assert place.shape == (60, 4)
    rng = np.random.default_rng(0)
    for _ in range(200):
        truth, value = both(problem, place, own, rng.choice(60, 5, replace=False))
        assert value >= truth - 1e-9


def test_no_dimensions_where_variety_does_not_count():
    place, own = embedded(problem_of("squared", 9, 3, 0).replaced(variety_weight=0.0), np.arange(9))
    assert place.shape == (9, 0)
    assert not own.any()


def test_equal_places_embed_to_nothing():
    problem = problem_of("euclidean", 6, 2, 0).replaced(place=np.ones((6, 2)))
    place, own = embedded(problem, np.arange(6))
    assert not own.any()
    assert not place.any()
