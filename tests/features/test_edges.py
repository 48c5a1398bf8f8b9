"""Edge pixels of pictures whose edges are known: where they lie, how blurred they are, and not too many of them."""

import cv2
import numpy as np
import pytest

from setsolver.features.edges import BlurMap

SIZE = (600, 960)


def stripes(period: int, sigma: float = 0.0, size: tuple[int, int] = SIZE) -> np.ndarray:
    """Upright stripes, dark and light by turns, blurred by so many pixels; uint8[H, W]."""
    columns = np.where(np.arange(size[1]) // period % 2, 190, 60).astype(np.float32)
    picture = np.broadcast_to(columns, size).copy()
    return np.rint(cv2.GaussianBlur(picture, (0, 0), sigma) if sigma else picture).astype(np.uint8)


def test_of_very_many_edges_a_share_is_kept_from_all_over_the_picture():
    """By hand: 119 edges in every second of 600 rows are more than 16,000; every third of them is kept."""
    edges = BlurMap(stripes(8), 0.0)
    count = len(edges.rows)
    assert count == pytest.approx(299 * 119 / 3, rel=0.02)
    assert edges.rows.min() <= 2
    assert edges.rows.max() >= SIZE[0] - 4
    for part in np.array_split(np.arange(SIZE[1]), 8):
        assert np.isin(edges.columns, part).sum() == pytest.approx(count / 8, rel=0.1)


def test_of_few_edges_every_one_is_kept():
    """One edge in every second row, at the first light column."""
    edges = BlurMap(stripes(480), 0.0)
    assert sorted(edges.rows) == list(range(1, SIZE[0] - 1, 2))
    assert set(edges.columns) <= {479, 480}


@pytest.mark.parametrize("sigma", [1.5, 3.0])
def test_a_known_blur_is_found(sigma):
    edges = BlurMap(stripes(96, sigma), 0.0)
    assert np.median(edges.blur) == pytest.approx(sigma, rel=0.15)


def test_edges_run_where_they_run():
    """The gradient of upright stripes runs along rows, 0 or pi; of lying ones down columns, half of pi."""
    upright, lying = BlurMap(stripes(96), 0.0), BlurMap(np.ascontiguousarray(stripes(96, size=SIZE[::-1]).T), 0.0)
    assert np.abs(np.sin(upright.angle)) == pytest.approx(0, abs=1e-3)
    assert lying.angle == pytest.approx(np.pi / 2, abs=1e-3)


def test_nothing_is_an_edge_that_noise_could_be():
    assert len(BlurMap(stripes(96), 100.0).rows) == 0
    assert len(BlurMap(np.full(SIZE, 128, np.uint8), 0.0).rows) == 0
