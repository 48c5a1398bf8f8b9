"""Passes over a tile in one call, against the same passes one call after the other."""

import cv2
import numpy as np
import pytest

from setsolver.colour.toning import Toning
from setsolver.render import conversion, filtering, passes, sliding
from setsolver.render.grade import Grade
from setsolver.render.resample import _parts, _weights, aligned
from setsolver.render.room import Room
from setsolver.render.sharpen import PLAIN, Sharpening

NEAR = 2e-6
"""Of light about 1: sums may be reordered."""
TONING = Toning(np.array([0.0, 40.0, 100.0]), np.array([3.0, 45.0, 98.0]), cast=(2.0, -3.0), chroma=1.1)


def light(columns, rows, seed=0):
    return np.random.default_rng(seed).uniform(0, 1, (3, columns, aligned(rows))).astype(np.float32)


def rooms(columns, rows, pitch):
    return np.full((3, columns, pitch), np.nan, np.float32), np.full((3, rows, aligned(columns)), np.nan, np.float32)


@pytest.mark.parametrize("step", [0.9, 1.0, 1.7])
def test_a_level_grid(step):
    rows = 70
    part, room = light(66, rows), rooms(30, rows, aligned(rows))
    across, upright = _weights(8.3, step, 30), _weights(9.8, step, 28)
    found, between, want = np.empty((3, 28, 30), np.float32), np.empty_like(room[0]), np.empty((3, 28, 30), np.float32)
    passes.level(part, rows, across, upright, room, found)
    filtering.down(part, *across, between)
    filtering.down(np.ascontiguousarray(between[..., :rows].swapaxes(1, 2)), *upright, want)
    assert np.abs(found - want).max() < NEAR


@pytest.mark.parametrize("lean", [0.001, 0.03, 0.1, 0.3])
def test_a_turned_grid(lean):
    rows, step = 70, 1.1
    part, room = light(66, rows), rooms(30, rows, aligned(rows))
    across, upright = (12.3, step, -lean, _parts(step)), (9.8, step, lean, _parts(step))
    found, between, want = np.empty((3, 28, 30), np.float32), np.empty_like(room[0]), np.empty((3, 28, 30), np.float32)
    passes.turned(part, rows, across, upright, room, found)
    sliding.slid(part, *across, between)
    sliding.slid(np.ascontiguousarray(between[..., :rows].swapaxes(1, 2)), *upright, want)
    assert np.abs(found - want).max() < NEAR


@pytest.mark.parametrize("grain", [False, True])
@pytest.mark.parametrize("sharpening", [PLAIN, Sharpening(0.3), Sharpening(0.9), Sharpening(2.0)])
@pytest.mark.parametrize("target", ["srgb", "srgb8", "d50"])
def test_tone_grain_and_sharpening(target, sharpening, grain):
    grade = Grade(np.eye(3), TONING, sharpening, target)
    tile, margin = np.ascontiguousarray(light(50, 48)), sharpening.margin
    size = tile.shape[1:]
    added = np.random.default_rng(1).normal(0, 2, size).astype(np.float32)
    inner = size[0] - 2 * margin, size[1] - 2 * margin
    found, want = (np.zeros((inner[0] + 2, inner[1] + 3, 3), grade.dtype) for _ in range(2))
    grade.codes(tile, Room(), found, 2, 3, added if grain else None)

    (matrix, curve, colour), _, sharp, out = grade.how
    lab = np.empty_like(tile)
    conversion.graded(tile, matrix, curve, colour, lab)
    side = 2 * margin + 1
    blurred = cv2.GaussianBlur(lab[0], (side, side), sharpening.sigma) if margin else lab[0].copy()
    if grain:
        blurred += added
        lab[0] += added
    coded = conversion.stepped if target == "d50" else conversion.coded
    coded(lab, blurred, margin, sharp, out, want, (2, 3))
    allowed = {"srgb": 3, "srgb8": 1, "d50": 3}[target]  # of 65,536, of 256: the blur is OpenCV's
    assert np.abs(found.astype(int) - want).max() <= allowed
    assert np.ptp(found[2:, 3:].astype(int)) > 100
    assert not found[:2].any()
    assert not found[:, :3].any()
