"""The fold with a kernel of two like sides, against OpenCV's blur; rows turned into columns, against NumPy."""

import cv2
import numpy as np
import pytest

from setsolver.render import filtering


@pytest.mark.parametrize(
    ("margin", "sigma"), [(1, 0.3), (2, 0.5), (3, 0.9), (4, 1.2), (5, 1.5), (6, 1.9), (7, 2.02), (8, 2.5)]
)
def test_a_fold_along_both_axes_is_a_blur(margin, sigma):
    plane = np.random.default_rng(0).uniform(0, 100, (41, 53)).astype(np.float32)
    kernel = np.ascontiguousarray(cv2.getGaussianKernel(2 * margin + 1, sigma, cv2.CV_32F)[margin:, 0])
    between, result = np.full_like(plane, np.nan), np.full_like(plane, np.nan)
    filtering.folded(plane, kernel, 53, (margin, 41 - margin, 0, 53), between)
    filtering.folded(between, kernel, 1, (margin, 41 - margin, margin, 53 - margin), result)
    side = 2 * margin + 1
    inner = (slice(margin, -margin),) * 2
    assert np.abs(result - cv2.GaussianBlur(plane, (side, side), sigma))[inner].max() < 1e-4
    result[inner] = np.nan
    assert np.isnan(result).all()  # nothing else is touched


@pytest.mark.parametrize(
    ("columns", "rows", "pitch"), [(1, 1, 16), (7, 40, 48), (40, 5, 16), (8, 8, 8), (262, 271, 272)]
)
def test_rows_become_columns(columns, rows, pitch):
    planes = np.random.default_rng(0).normal(size=(3, columns, pitch)).astype(np.float32)
    planes[..., rows:] = np.nan  # counts for nothing
    result = np.full((3, rows + 3, columns + 2), -1, np.float32)
    filtering.transposed(planes, rows, result)
    assert (result[:, :rows, :columns] == planes[..., :rows].swapaxes(1, 2)).all()
    assert (result[:, rows:] == -1).all()
    assert (result[..., columns:] == -1).all()  # nothing else is touched
