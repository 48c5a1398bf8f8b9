"""Means over cells against OpenCV's area averaging and against whole pixels."""

import cv2
import numpy as np
import pytest

from setsolver.features.cells import area_means


@pytest.mark.parametrize("cells", [(6, 6), (24, 24), (3, 11)])
@pytest.mark.parametrize("shape", [(427, 640), (640, 30), (100, 101)])
def test_means_are_those_of_area_averaging(shape, cells):
    plane = np.random.default_rng(0).random(shape, dtype=np.float32)
    averaged = cv2.resize(plane, cells[::-1], interpolation=cv2.INTER_AREA)
    assert area_means(plane, cells) == pytest.approx(averaged, abs=1e-6)


def test_cells_smaller_than_pixels_show_the_pixels():
    plane = np.array([[0.0, 1.0], [2.0, 3.0]], np.float32)
    assert area_means(plane, (4, 4)) == pytest.approx(np.kron(plane, np.ones((2, 2))))
