"""Soft proofs against profiles whose gamut is known: three primaries."""

import numpy as np
import pytest

from setsolver.colour.lab import srgb_to_lab
from setsolver.render.save import load_profile
from setsolver.render.softproof import soft_proof
from tests.catalog.pictures import scene
from tests.catalog.profiles import DISPLAY_P3, rgb_profile

PALE = ((0.50, 0.34), (0.30, 0.48), (0.20, 0.16))
"""Primaries well within sRGB's."""


def profile(tmp_path, primaries, intent="relative"):
    path = tmp_path / "a.icc"
    path.write_bytes(rgb_profile(primaries, 2.2))
    return load_profile(path, intent)


def test_a_wider_gamut_leaves_all_colours_as_they_are(tmp_path):
    found = soft_proof(srgb_to_lab(scene(96, 64)), profile(tmp_path, DISPLAY_P3))
    assert found.outside == 0
    assert found.worst < 0.5
    assert found.picture is None


@pytest.mark.parametrize("intent", ["relative", "perceptual"])
def test_what_is_outside_a_narrow_gamut_is_counted_and_shown(tmp_path, intent):
    picture = np.full((64, 96, 3), 128, np.uint8)
    picture[:16] = (230, 20, 30)  # a quarter of it
    found = soft_proof(srgb_to_lab(picture), profile(tmp_path, PALE, intent))
    assert found.outside == pytest.approx(0.25)
    assert found.worst > 10
    assert found.mean == pytest.approx(found.worst / 4, rel=0.05)
    assert found.picture.shape == (64, 96, 3)
    assert np.ptp(found.picture[0, 0].astype(int)) > 100  # marked
    assert np.ptp(found.picture[-1, -1].astype(int)) <= 1  # grey


def test_greys_are_never_outside(tmp_path):
    ramp = np.repeat(np.linspace(0, 255, 64).astype(np.uint8)[None, :, None], 3, axis=2).repeat(32, axis=0)
    assert soft_proof(srgb_to_lab(ramp), profile(tmp_path, PALE)).outside == 0
