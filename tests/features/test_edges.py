"""Edge pixels of pictures whose edges are known: where they lie, how blurred they are, and not too many of them."""

import cv2
import numpy as np
import pytest
from scipy.ndimage import sobel

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


def plainly(grey: np.ndarray, least: float) -> dict[tuple[int, int], tuple[float, float]]:
    """Return (blur, angle) of edges by row and column, by loops over Sobel's gradients; every second row from 1."""
    again = cv2.GaussianBlur(grey, (0, 0), 1.0)
    gradients = [[sobel(one.astype(float), axis, mode="mirror") for axis in (1, 0)] for one in (grey, again)]
    (dx, dy), (dx2, dy2) = gradients
    strength, found = np.abs(dx) + np.abs(dy), {}
    for row in range(1, grey.shape[0] - 1, 2):
        for column in range(1, grey.shape[1] - 1):
            down, across = (1, 0), (0, 1)
            r, c = down if abs(dx[row, column]) < abs(dy[row, column]) else across
            own = strength[row, column]
            if own > least and own >= strength[row - r, column - c] and own > strength[row + r, column + c]:
                length, kept = np.hypot(dx, dy)[row, column], max(np.hypot(dx2, dy2)[row, column], 1e-3)
                blur = 1 / np.sqrt(max((length / kept) ** 2 - 1, 0.02))
                found[row, column] = blur, np.arctan2(dy[row, column], dx[row, column]) % np.pi
    return found


@pytest.mark.parametrize(("noise", "least"), [(0.0, 64), (2.0, 64), (4.0, 120), (2.2, 66)])
def test_edges_are_those_that_plain_loops_find(noise, least):
    """Sobel's gradients by SciPy; blur by Zhuo and Sim (2011), equation 4: r / sqrt(q^2 - 1), r of one pixel."""
    random = np.random.default_rng(6)
    grey = cv2.GaussianBlur(random.uniform(0, 255, (60, 91)), (0, 0), 1.6)
    grey = np.clip((grey - 128) * 3 + 128, 0, 255).astype(np.uint8)
    grey[20:40, 30:60] = 250
    edges, plain = BlurMap(grey, noise), plainly(grey, least)
    assert len(plain) > 60
    assert list(zip(edges.rows.tolist(), edges.columns.tolist(), strict=True)) == list(plain)
    blur, angle = np.array(list(plain.values())).T
    assert edges.blur == pytest.approx(blur, rel=1e-4)
    apart = np.abs(edges.angle - angle)
    assert np.minimum(apart, np.pi - apart).max() < 1e-4
    assert edges.angle.min() >= 0
    assert edges.angle.max() < np.pi
    assert edges.shape == (60, 91)
