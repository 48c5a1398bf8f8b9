"""Quality falls with each fault, by no more than half for any one of them."""

from itertools import pairwise

import cv2
import numpy as np
import pytest

from setsolver.domain.geometry import WHOLE, Box
from setsolver.domain.measures import LIGHTNESS_BINS, TONE_GRID, Detail, Face, Tone, ToneTiles
from setsolver.features.measure import measure
from setsolver.features.quality import PARTS, quality

TONE = Tone(5, 95, 50, 40, 0, 0, 20, 0, 0, 0, 0.5)
DETAIL = Detail(0.95, 0.0, 0.2, np.zeros((8, 8), np.float32))


def tiles(blown: Box | None = None) -> ToneTiles:
    """Mid grey everywhere, white in the tiles of a box."""
    lightness = np.zeros((*TONE_GRID, LIGHTNESS_BINS), np.uint16)
    lightness[..., 50] = 10_000
    if blown is not None:
        rows, columns = (slice(round(low * 6), round(high * 6)) for low, high in
                         ((blown.y, blown.bottom), (blown.x, blown.right)))  # fmt: skip
        lightness[rows, columns] = 0
        lightness[rows, columns, 99] = 10_000
    return ToneTiles(lightness, np.zeros((*TONE_GRID, 3), np.float32))


def of(tone=TONE, detail=DETAIL, subject=WHOLE, faces=(), blown=None):
    return quality(tone, tiles(blown), detail, subject, faces)


def test_the_parts_are_a_whole():
    assert sum(PARTS.values()) == pytest.approx(1)


def test_a_sharp_clean_full_frame_is_near_one():
    assert of() > 0.95


@pytest.mark.parametrize(
    ("tone", "detail"),
    [
        ({}, {"sharpness": 0.1}),
        ({}, {"motion": 0.8}),
        ({}, {"grain": 6.0}),
        ({"clipped_high": 0.3}, {}),
        ({"black": 20, "white": 60}, {}),
    ],
)
def test_each_fault_costs_and_none_more_than_half(tone, detail):
    fault = of(TONE._replace(**tone), DETAIL._replace(**detail))
    assert of() / 2 - 0.01 <= fault < of() - 0.02


@pytest.mark.parametrize(
    "tone",
    [{"clipped_low": 0.5, "mid": 8.0, "white": 70.0}, {"black": 55.0, "white": 85.0}, {"colourfulness": 0.0}],
    ids=["night", "fog", "mono"],
)
def test_what_can_be_meant_costs_little(tone):
    assert of(TONE._replace(**tone)) > of() - 0.06


def test_a_soft_face_costs_although_the_frame_is_sharp_and_a_tiny_one_does_not():
    face = Face(Box(0.4, 0.4, 0.2, 0.2), 0.9, "front", 0.1)
    assert of(faces=(face,)) < of(faces=(face._replace(sharpness=0.9),)) - 0.1
    assert of(faces=(face._replace(box=Box(0.4, 0.4, 0.02, 0.03)),)) == of()


def test_a_blown_subject_costs_more_than_a_blown_corner():
    subject, corner = Box(1 / 3, 1 / 3, 1 / 3, 1 / 3), Box(0, 0, 1 / 3, 1 / 3)
    assert of(subject=subject, blown=subject) < of(subject=subject, blown=corner) - 0.1


SPOILED = {
    "focus": [lambda rgb, s=s: cv2.GaussianBlur(rgb, (0, 0), s) for s in (0.8, 1.6, 3.2)],
    "shake": [lambda rgb, n=n: cv2.filter2D(rgb, -1, np.full((1, n), 1 / n, np.float32)) for n in (5, 9, 15)],
    "noise": [lambda rgb, s=s: _noisy(rgb, s) for s in (4, 8, 16)],
    "light": [lambda rgb, g=g: np.clip(rgb * g, 0, 255).astype(np.uint8) for g in (1.25, 1.6, 2.2)],
}


def _noisy(rgb, deviation):
    noise = np.random.default_rng(0).normal(0, deviation, rgb.shape[:2])[..., None]
    return np.clip(np.rint(rgb + noise), 0, 255).astype(np.uint8)


@pytest.mark.parametrize("fault", SPOILED)
def test_more_of_a_fault_is_never_better(fault, astronaut, models):
    found = [measure(change(astronaut), models=models).quality for change in (np.copy, *SPOILED[fault])]
    assert all(before > after for before, after in pairwise(found)), found


def test_quality_is_the_weighted_mean_of_its_parts_by_hand():
    """Each part as the docstring and the constants' own have it, at values that no limit hides."""
    tone = TONE._replace(black=8, white=84, clipped_low=0.1, clipped_high=0.02)
    detail = DETAIL._replace(sharpness=0.8, motion=0.3, grain=1.0)
    rest = 0.10 * 0.7 + 0.16 / (1 + 0.02 * 15) + 0.02 * np.exp(-0.4) + 0.06 * 76 / 95 + 0.12 * np.exp(-0.6 / 1.2)
    assert of(tone, detail) == pytest.approx(0.54 * 0.8 + rest, abs=1e-9)
    for height, sharp in ((0.08, 0.5 * 0.8 + 0.5 * 0.2), (0.0799, 0.8)):
        face = Face(Box(0.4, 0.4, 0.1, height), 0.9, "front", 0.2)
        assert of(tone, detail, faces=(face, face._replace(sharpness=1.0))) == pytest.approx(0.54 * sharp + rest)
    half = Box(0, 0, 1, 0.5)  # of the subject, and more than of the frame
    assert of(tone, detail, subject=WHOLE, blown=half) == pytest.approx(
        0.54 * 0.8 + rest + 0.16 / (1 + 0.5 * 15) - 0.16 / (1 + 0.02 * 15)
    )


@pytest.mark.parametrize(("grain", "clean"), [(0.0, 1.0), (0.4, 1.0), (1.6, np.exp(-1))])
def test_grain_costs_from_four_tenths_on(grain, clean):
    best = of(TONE, DETAIL._replace(grain=0.0))
    assert best - of(TONE, DETAIL._replace(grain=grain)) == pytest.approx(0.12 * (1 - clean))


@pytest.mark.parametrize(("bin_", "blown"), [(97, False), (98, True), (99, True)])
def test_a_subject_is_blown_from_98_on(bin_, blown):
    lightness = np.zeros((*TONE_GRID, LIGHTNESS_BINS), np.uint16)
    lightness[..., bin_] = 10_000
    found = quality(TONE, ToneTiles(lightness, np.zeros((*TONE_GRID, 3), np.float32)), DETAIL, WHOLE, ())
    assert of() - found == pytest.approx(0.16 * (1 - 1 / 16) if blown else 0)


def test_more_range_than_paper_holds_is_worth_no_more():
    assert of(TONE._replace(black=0, white=95)) == of(TONE._replace(black=0, white=100)) > of(TONE._replace(white=94.9))
