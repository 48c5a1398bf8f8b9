"""The fold with a kernel of two like sides, against OpenCV's blur."""

import cv2
import numpy as np
import pytest

from setsolver.render import filtering


@pytest.mark.parametrize(("margin", "sigma"), [(1, 0.3), (2, 0.5), (3, 0.9), (6, 1.9), (7, 2.02), (8, 2.5)])
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
