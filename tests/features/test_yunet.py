"""The face detector: OpenCV's own decoding of its outputs is the reference for ours."""

import cv2
import numpy as np
import pytest

from setsolver.features import yunet
from setsolver.features.models import FACES_FILE, load_detector, weights_file
from setsolver.features.yunet import LEAST_SUSPICION, MIN_FACE_SCORE


@pytest.fixture(scope="module")
def both():
    reference = cv2.FaceDetectorYN.create(str(weights_file(FACES_FILE)), "", (320, 320), LEAST_SUSPICION, 0.3, 5000)

    def detect(rgb):
        reference.setInputSize(rgb.shape[1::-1])
        found = reference.detect(cv2.cvtColor(rgb, cv2.COLOR_RGB2BGR))[1]
        return np.empty((0, 15), np.float32) if found is None else found

    return detect, load_detector()


@pytest.mark.parametrize("size", [(512, 512), (320, 320), (640, 427), (417, 301), (33, 700)])
def test_opencv_finds_the_same(astronaut, both, size):
    picture = cv2.resize(astronaut, size, interpolation=cv2.INTER_AREA)
    reference, found = (detector(picture) for detector in both)
    assert found == pytest.approx(reference, abs=2e-3)


def test_several_faces_come_best_first_and_once(astronaut, both):
    face = astronaut[20:240, 110:330]
    row = np.hstack([face, face[:, ::-1], cv2.GaussianBlur(face, (0, 0), 3)])
    reference, found = (detector(row) for detector in both)
    assert np.count_nonzero(found[:, 14] >= MIN_FACE_SCORE) == 3
    assert np.all(np.diff(found[:, 14]) <= 0)
    assert found == pytest.approx(reference, abs=2e-3)


def test_nothing_is_found_in_an_even_picture(both):
    for detector in both:
        assert detector(np.full((200, 300, 3), 90, np.uint8)).shape == (0, 15)


def test_scores_are_at_least_a_suspicion(astronaut, both):
    noise = np.random.default_rng(0).integers(0, 256, (240, 320, 3), dtype=np.uint8)
    for detector in both:
        for picture in (astronaut, noise):
            assert np.all(detector(picture)[:, 14] >= LEAST_SUSPICION)


def test_a_detection_of_one_level_by_hand():
    """Scores are roots of two numbers held to 0 to 1; cell 5 of rows of 3 is (2, 1); a box of log sizes about it."""
    sure, there = np.zeros((6, 1), np.float32), np.ones((6, 1), np.float32)
    box, points = np.zeros((6, 4), np.float32), np.tile(np.arange(10, dtype=np.float32) / 10, (6, 1))
    sure[:, 0] = -4, 0.0025, 0.0024, 4, 0.25, 0.64
    there[4] = 4.0
    box[5] = 0.25, 0.5, np.log(2), np.log(3)
    rows = yunet._rows(8, 24, sure, there, box, points)
    assert rows[:, 14] == pytest.approx([0.05, 1.0, 0.5, 0.8])  # 0.0024 is less than a suspicion
    assert rows[3, :4] == pytest.approx([8 * (2.25 - 1), 8 * (1.5 - 1.5), 16, 24])
    assert rows[3, 4:14] == pytest.approx(8 * (np.arange(10) / 10 + np.tile([2, 1], 5)))
    assert rows[0, :2] == pytest.approx([8 * (1 - 0.5), 8 * (0 - 0.5)])
