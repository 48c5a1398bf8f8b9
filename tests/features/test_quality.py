"""Quality falls with each fault, by no more than half for any one of them."""

import numpy as np
import pytest

from setsolver.domain.geometry import Box
from setsolver.domain.measures import Detail, Face, Tone
from setsolver.features.quality import quality

TONE = Tone(5, 95, 50, 40, 0, 0, 20, 0, 0, 0, 0.5)
DETAIL = Detail(0.95, 0.0, 0.2, np.zeros((8, 8), np.float32))


def test_a_sharp_clean_full_frame_is_near_one():
    assert quality(TONE, DETAIL, ()) > 0.95


@pytest.mark.parametrize(
    ("tone", "detail"),
    [
        ({}, {"sharpness": 0.1}),
        ({}, {"motion": 0.8}),
        ({}, {"grain": 6.0}),
        ({"clipped_high": 0.3}, {}),
        ({"clipped_low": 0.4}, {}),
        ({"black": 40, "white": 60}, {}),
    ],
)
def test_each_fault_costs_and_none_more_than_half(tone, detail):
    fault = quality(TONE._replace(**tone), DETAIL._replace(**detail), ())
    good = quality(TONE, DETAIL, ())
    assert good / 2 - 1e-9 <= fault < good - 0.02


def test_a_soft_face_costs_although_the_frame_is_sharp():
    face = Face(Box(0.4, 0.4, 0.2, 0.2), 0.9, "front", 0.1)
    assert quality(TONE, DETAIL, (face,)) < quality(TONE, DETAIL, (face._replace(sharpness=0.9),)) - 0.1
