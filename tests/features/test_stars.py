"""Stars: few of them move little, their likes move along, many count for more than the measure."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from setsolver.errors import BadInput
from setsolver.features.stars import looks_about, stars_at, with_stars


def looks(*kinds, seed=0):
    """Embeddings of frames: the same number, the same sort of picture, each a little of its own."""
    random = np.random.default_rng(seed)
    sorts = random.normal(size=(max(kinds) + 1, 32))
    return np.array([sorts[kind] for kind in kinds]) + 0.1 * random.normal(size=(len(kinds), 32))


NAN = np.nan


def test_without_stars_nothing_moves():
    appeal = np.array([1.5, 3.0, 4.5])
    assert np.array_equal(with_stars(appeal, looks(0, 1, 2), np.full(3, NAN)), appeal)


def test_one_star_moves_its_frame_most_its_likes_along_and_strangers_hardly():
    appeal = np.full(6, 3.0)
    moved = with_stars(appeal, looks(0, 0, 1, 1, 2, 2), np.array([5, NAN, NAN, NAN, NAN, NAN])) - appeal
    assert 1.2 < moved[0] < 1.8
    assert moved[0] > moved[1] > 2 * moved[2:].max()
    assert moved[2:].min() > 0
    assert moved[2:].max() < 0.5


def test_many_stars_count_for_more_than_the_measure():
    """A photographer who likes what the measure does not: rated likes teach a frame that nobody rated."""
    kinds = [0, 1] * 20
    truth = np.where(np.array(kinds) == 0, 5.0, 1.0)
    errors = []
    for known in (0, 4, 12, 38):
        stars = np.where(np.arange(40) < known, truth, NAN)
        moved = with_stars(np.full(40, 3.0), looks(*kinds), stars)
        errors.append(float(np.abs(moved - truth)[38:].mean()))
    assert errors == sorted(errors, reverse=True)
    assert errors[0] == 2
    assert errors[-1] < 0.6


@settings(max_examples=30, deadline=None)
@given(st.lists(st.sampled_from([NAN, 0.0, 1.0, 3.0, 5.0]), min_size=3, max_size=12), st.integers(0, 5))
def test_appeal_stays_on_its_scale_and_a_frame_never_moves_away_from_its_only_star(stars, seed):
    appeal = np.random.default_rng(seed).uniform(1, 5, len(stars))
    moved = with_stars(appeal, looks(*range(len(stars)), seed=seed), np.array(stars))
    assert moved.min() >= 1
    assert moved.max() <= 5
    known = np.flatnonzero(~np.isnan(stars))
    if len(known) == 1:
        (one,) = known
        wanted = max(1.0, stars[one])
        assert abs(moved[one] - wanted) <= abs(appeal[one] - wanted) + 1e-9


@pytest.mark.parametrize(("stars", "told"), [([6.0, NAN], "0 to 5"), ([-1.0, NAN], "0 to 5"), ([1.0], "2, 2 and 1")])
def test_what_cannot_be_stars_is_refused(stars, told):
    with pytest.raises(BadInput, match=told):
        with_stars(np.array([3.0, 3.0]), looks(0, 1), np.array(stars))


def test_what_a_star_says_by_hand():
    """Variances: 0.1 all, 0.15 likes, 0.15 own, 0.15 doubt; a stranger at right angles is exp(-2) alike.

    A star of 5 beyond 3 says 2: itself 0.4 / 0.55 of it, a likeness of the same look 0.25 / 0.55.
    """
    rows = np.array([[1.0, 0.0], [1.0, 0.0], [0.0, 1.0]])
    moved = stars_at(np.full(3, 3.0), rows, np.array([5.0, NAN, NAN])) - 3
    assert moved == pytest.approx([2 * 0.4 / 0.55, 2 * 0.25 / 0.55, 2 * (0.1 + 0.15 * np.exp(-2)) / 0.55])


def test_two_stars_are_weighed_against_each_other():
    """Equation 2.23 of Rasmussen and Williams with NumPy's inverse."""
    rows = looks_about(looks(0, 0, 1, 2))
    assert np.linalg.norm(rows, axis=1) == pytest.approx(1)
    assert rows == pytest.approx(
        (looks(0, 0, 1, 2) - looks(0, 0, 1, 2).mean(axis=0))
        / np.linalg.norm(looks(0, 0, 1, 2) - looks(0, 0, 1, 2).mean(axis=0), axis=1, keepdims=True)
    )
    appeal, stars = np.array([2.5, 3.0, 3.5, 3.0]), np.array([4.0, NAN, 2.0, NAN])
    alike = 0.1 + 0.15 * np.exp(-((rows[:, None] - rows[None]) ** 2).sum(axis=2)) + 0.15 * np.eye(4)
    known = [0, 2]
    inverse = np.linalg.inv(alike[np.ix_(known, known)] + 0.15 * np.eye(2))
    expected = appeal + alike[:, known] @ inverse @ np.array([1.5, -1.5])
    assert stars_at(appeal, rows, stars) == pytest.approx(expected)


def test_both_ends_of_the_scale_are_stars_and_none_reads_as_one():
    rows, appeal = np.array([[1.0, 0.0], [0.0, 1.0]]), np.full(2, 3.0)
    lowest, one = (stars_at(appeal, rows, np.array([star, NAN])) for star in (0.0, 1.0))
    assert np.array_equal(lowest, one)
    assert stars_at(appeal, rows, np.array([5.0, NAN]))[0] > 4
    for wrong in (-0.01, 5.01):
        with pytest.raises(BadInput, match="from 0 to 5"):
            stars_at(appeal, rows, np.array([wrong, NAN]))
