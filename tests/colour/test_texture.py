"""Grain that is given or taken, against what its words say, worked by hand."""

import numpy as np
import pytest

from setsolver.colour.texture import grain_map


@pytest.mark.parametrize(("lightness", "share"), [(0, 0.0), (25, 0.75**0.5), (50, 1.0), (80, 0.64**0.5), (100, 0.0)])
def test_what_is_missing_of_the_variance_is_given_and_none_to_black_and_white(lightness, share):
    """From 3 to 7: independent noises add as squares, so 40^0.5 is missing; 4 L (100 - L) of the square at L."""
    given = grain_map(np.full((150, 200), lightness, np.float32), 3.0, 4.0, 1)
    assert given.std() == pytest.approx(40**0.5 * share, rel=0.02, abs=1e-6)
    assert abs(given.mean()) < 0.1


def board(height):
    """A chessboard of single pixels about L* 50: the finest detail there is, which no blur of a pixel leaves."""
    return np.where(np.indices((20, 30)).sum(axis=0) % 2, 50 + height, 50 - height).astype(np.float32)


@pytest.mark.parametrize(
    ("height", "own", "amount", "share"),
    [
        (0.05, 1.0, -0.25, 0.25),
        (0.05, 2.0, -0.25, 0.125),
        (0.05, 1.0, -5.0, 0.9),  # a tenth of it is kept
        (3.0, 1.0, -0.5, 0.5 * np.exp(-1)),  # of three standard deviations: an edge, of which less is taken
        (6.0, 2.0, -1.0, 0.5 * np.exp(-1)),
        (9.0, 1.0, -0.5, 0.5 * np.exp(-9)),
    ],
)
def test_a_share_of_what_is_no_larger_than_grain_is_taken(height, own, amount, share):
    picture = board(height)
    taken = grain_map(picture, own, amount, 1)
    inner = (slice(4, -4),) * 2
    assert taken[inner] == pytest.approx(-share * (picture - 50)[inner], rel=5e-3)  # the blur leaves 2 in 10,000
