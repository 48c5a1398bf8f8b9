"""Profiles of three curves and a matrix, against LittleCMS by Pillow and by libvips."""

import io
import struct

import numpy as np
import pytest
import pyvips
from PIL import Image, ImageCms

from setsolver.colour.lab import linear_to_lab, linear_to_srgb
from setsolver.colour.profile import _curve, space_of, srgb_curves, to_srgb_light
from tests.catalog.profiles import DISPLAY_P3, SRGB, WIDE_GREEN, grey_profile, rgb_profile

CUBE = np.stack(np.meshgrid(*[np.linspace(0, 255, 9).astype(np.uint8)] * 3, indexing="ij"), -1).reshape(9, 81, 3)


def light(profile, codes):
    curves = to_srgb_light(profile, 256)
    decoded = np.stack([curves.light[c][codes[..., c]] for c in range(3)], axis=-1)
    return (decoded @ curves.matrix.T).astype(np.float32)


@pytest.mark.parametrize(("primaries", "gamma"), [(SRGB, 2.2), (DISPLAY_P3, 2.2), (WIDE_GREEN, 563 / 256)])
def test_codes_become_the_srgb_that_littlecms_gives(primaries, gamma):
    profile = rgb_profile(primaries, gamma)
    source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
    change = ImageCms.buildTransform(source, ImageCms.createProfile("sRGB"), "RGB", "RGB", renderingIntent=1)
    theirs = np.asarray(ImageCms.applyTransform(Image.fromarray(CUBE), change))
    ours = linear_to_srgb(light(profile, CUBE))
    assert np.abs(ours.astype(int) - theirs).max() <= 2  # they round to 8 bits between curve and matrix, too
    assert np.abs(ours.astype(int) - theirs).mean() < 0.3


def test_colours_beyond_srgb_are_kept():
    assert light(rgb_profile(DISPLAY_P3, 2.2), np.array([[[0, 255, 0]]], np.uint8)).min() < -0.1


def test_libvips_s_own_srgb_is_srgb_and_its_p3_is_wider():
    assert np.abs(light(pyvips.Image.profile_load("srgb"), CUBE) - light_of_srgb(CUBE)).max() < 2e-3
    green = light(pyvips.Image.profile_load("p3"), np.array([[[0, 255, 0]]], np.uint8))[0, 0]
    assert green == pytest.approx([-0.2247, 1.0421, -0.0786], abs=0.01)  # CSS Color 4, sample code: P3 to sRGB


def light_of_srgb(codes):
    curves = srgb_curves(256)
    return np.stack([curves.light[c][codes[..., c]] for c in range(3)], axis=-1)


def test_neutral_codes_stay_neutral():
    ramp = np.repeat(np.arange(256, dtype=np.uint8)[None, :, None], 3, axis=2)
    lab = linear_to_lab(light(rgb_profile(DISPLAY_P3, 2.2), ramp))
    assert np.abs(lab[..., 1:]).max() < 0.05


@pytest.mark.parametrize(
    ("kind", "numbers", "at", "expected"),
    [
        (0, [2.0], 0.5, 0.25),
        (1, [2.0, 1.0, -0.5], 0.75, 0.0625),
        (1, [2.0, 1.0, -0.5], 0.25, 0.0),
        (2, [2.0, 1.0, -0.5, 0.1], 0.75, 0.1625),
        (2, [2.0, 1.0, -0.5, 0.1], 0.25, 0.1),
        (3, [2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045], 0.5, 0.214041),
        (3, [2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045], 0.02, 0.02 / 12.92),
        (4, [2.0, 1.0, 0.0, 0.5, 0.2, 0.1, 0.05], 0.5, 0.35),
        (4, [2.0, 1.0, 0.0, 0.5, 0.2, 0.1, 0.05], 0.1, 0.1),
    ],
)
def test_parametric_curves_are_those_of_the_standard(kind, numbers, at, expected):
    """Table 68 of ICC.1:2022, worked by hand; kind 3 with the numbers of IEC 61966-2-1; as in a file, by 10.18."""
    for padding in (b"", b"\x7f" * 4):  # what comes after its own numbers counts for nothing
        tag = b"para\0\0\0\0" + struct.pack(f">HH{len(numbers)}i", kind, 0, *(round(v * 65536) for v in numbers))
        assert _curve(tag + padding, np.array([at]))[0] == pytest.approx(expected, abs=3e-5)
    with pytest.raises(ValueError, match="cut off"):
        _curve(tag[:-1], np.array([at]))


def test_a_curve_without_samples_is_a_line_and_of_kind_5_unknown():
    """ICC.1:2022, 10.6: a count of 0 says that codes are light."""
    at = np.linspace(0, 1, 9)
    assert (_curve(b"curv\0\0\0\0" + struct.pack(">I", 0), at) == at).all()
    with pytest.raises(ValueError, match="unknown kind"):
        _curve(b"para\0\0\0\0" + struct.pack(">HH9i", 5, 0, *[65536] * 9), at)


@pytest.mark.parametrize("levels", [256, 65536])
def test_curves_go_from_no_light_at_the_first_code_to_all_of_it_at_the_last(levels):
    for curves in (to_srgb_light(rgb_profile(SRGB, 2.2), levels), srgb_curves(levels)):
        assert curves.light.shape == (3, levels)
        assert (curves.light[:, [0, -1]] == [0, 1]).all()
    assert srgb_curves(levels).light[0, round(0.5 * (levels - 1))] == pytest.approx(0.2140, abs=2e-3)  # IEC 61966-2-1


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b"cprt", b"A2B0"),  # a look-up table wins over curves (ICC.1:2022, 8.3)
        (b"bTRC", b"none"),
        (b"rXYZ", b"none"),
        (b"RGB XYZ ", b"RGB Lab "),  # another connection space
        (b"acsp", b"none"),
    ],
)
def test_what_is_no_matrix_for_rgb_is_left_to_others(old, new):
    profile = rgb_profile(SRGB, 2.2)
    assert to_srgb_light(profile, 256) is not None
    assert to_srgb_light(profile.replace(old, new), 256) is None
    assert to_srgb_light(grey_profile(2.2), 256) is None
    assert to_srgb_light(b"no profile", 256) is None
    assert space_of(grey_profile(2.2)) == "GRAY"
    assert space_of(b"") == ""


def test_a_damaged_profile_is_said():
    profile = rgb_profile(SRGB, 2.2)
    at = profile.index(b"curv\0\0\0\0")
    broken = profile[:at] + b"what" + profile[at + 4 :]
    with pytest.raises(ValueError, match="a colorant is no XYZ"):
        to_srgb_light(profile.replace(b"XYZ \0", b"xyz \0"), 256)
    with pytest.raises(ValueError, match="unknown kind"):
        to_srgb_light(broken, 256)
    with pytest.raises(ValueError, match="cut off"):
        to_srgb_light(profile[:128], 256)


def test_a_table_is_read_between_its_samples():
    curve = b"curv\0\0\0\0" + struct.pack(">IHHH", 3, 0, 16384, 65535)
    assert _curve(curve, np.array([0.25, 0.75])) == pytest.approx([0.125, 0.625], abs=1e-4)
