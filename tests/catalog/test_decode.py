"""Decoding: sizes, turns, modes, scaled decoding against full decoding, and bombs."""

import io
import tracemalloc

import numpy as np
import pytest
from PIL import Image, ImageCms, TiffImagePlugin

from setsolver.catalog.decode import MOST_PIXELS, decode_small, open_picture
from setsolver.errors import FrameRefused
from tests.catalog.pictures import CLAY, SKY, exif, png_header, save, scene
from tests.catalog.profiles import DISPLAY_P3, WIDE_GREEN, grey_profile, rgb_profile


def decoded(path, long_side=1280):
    with open_picture(path) as image:
        return decode_small(image, long_side)


@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.tif", "a.webp"])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_orientation_is_applied_once_in_every_format(tmp_path, name, orientation):
    pixels = scene(96, 64)
    options = {"quality": 95, "subsampling": 0} if name == "a.jpg" else {"lossless": True} if name == "a.webp" else {}
    found = decoded(save(tmp_path / name, pixels, exif=exif(orientation), **options))
    stored = Image.fromarray(pixels)
    turn = {2: 0, 3: 3, 4: 1, 5: 5, 6: 4, 7: 6, 8: 2}.get(orientation)  # Pillow's Transpose, by TIFF 6.0 section 8
    upright = stored if turn is None else stored.transpose(Image.Transpose(turn))
    assert (found.width, found.height) == upright.size
    assert np.abs(found.rgb.astype(int) - np.asarray(upright)).max() <= 12  # JPEG rings at the jar's edges


@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.tif"])
def test_large_pictures_come_small_and_know_their_size(tmp_path, name):
    found = decoded(save(tmp_path / name, scene(3000, 2000)))
    assert found.rgb.shape == (853, 1280, 3)
    assert (found.width, found.height) == (3000, 2000)
    assert np.abs(found.rgb[10, 10].astype(int) - SKY).max() <= 2
    assert np.abs(found.rgb[-10, -10].astype(int) - CLAY).max() <= 2


def test_small_pictures_are_not_enlarged(tmp_path):
    assert decoded(save(tmp_path / "a.png", scene(300, 200))).rgb.shape == (200, 300, 3)


def test_scaled_decoding_equals_averaging_the_full_picture(tmp_path):
    noise = np.random.default_rng(1).integers(0, 255, (60, 90, 3), dtype=np.uint8)
    smooth = np.asarray(Image.fromarray(noise).resize((2880, 1920), Image.Resampling.BICUBIC))
    found = decoded(save(tmp_path / "a.jpg", smooth, quality=98, subsampling=0), 720)
    full = np.asarray(Image.open(tmp_path / "a.jpg")).astype(float)
    mean = full.reshape(480, 4, 720, 4, 3).mean(axis=(1, 3))
    assert np.abs(found.rgb - mean).mean() < 0.6
    assert np.abs(found.rgb - mean).max() <= 4


def test_profile_and_orientation_together(tmp_path):
    found = decoded(save(tmp_path / "a.png", scene(96, 64), exif=exif(6), icc_profile=rgb_profile(DISPLAY_P3, 2.2)))
    assert found.rgb.shape == (96, 64, 3)
    assert np.abs(found.rgb[90, 5].astype(int) - CLAY).max() > 2  # P3 clay is another colour in sRGB


@pytest.mark.parametrize(
    ("mode", "name"),
    [
        ("L", "a.jpg"),
        ("CMYK", "a.jpg"),
        ("P", "a.png"),
        ("1", "a.png"),
        ("RGBA", "a.webp"),
        ("I;16", "a.png"),
        ("LA", "a.png"),
    ],
)
def test_every_mode_becomes_rgb(tmp_path, mode, name):
    grey = Image.fromarray(scene(64, 48)).convert("L")
    image = Image.fromarray(np.asarray(grey).astype(np.uint16) * 257) if mode == "I;16" else grey.convert(mode)
    image.save(tmp_path / name)
    found = decoded(tmp_path / name)
    assert found.rgb.shape == (48, 64, 3)
    assert found.rgb.dtype == np.uint8
    if mode != "1":
        assert np.abs(found.rgb[2, 2].astype(int) - np.asarray(grey)[2, 2]).max() <= 3


def test_sixteen_bit_colour_tiff(tmp_path):
    tifffile = pytest.importorskip("tifffile", reason="tifffile writes 16-bit colour TIFF; it comes with the extra dev")
    tifffile.imwrite(tmp_path / "a.tif", scene(64, 48).astype(np.uint16) * 257, photometric="rgb")
    assert np.array_equal(decoded(tmp_path / "a.tif").rgb, scene(64, 48))


@pytest.mark.parametrize("compression", [None, "deflate"])
@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("layout", [{}, {"rowsperstrip": 16}, {"tile": (32, 32)}], ids=str)
def test_sixteen_bit_colour_tiff_by_planes(tmp_path, compression, order, layout):
    tifffile = pytest.importorskip("tifffile", reason="tifffile writes 16-bit colour TIFF; it comes with the extra dev")
    planes = (scene(64, 48).astype(np.uint16) * 257).transpose(2, 0, 1)
    options = {"photometric": "rgb", "planarconfig": "separate", "compression": compression, "byteorder": order}
    tifffile.imwrite(tmp_path / "a.tif", planes, **options, **layout)
    for source in (tmp_path / "a.tif", io.BytesIO((tmp_path / "a.tif").read_bytes())):
        assert np.array_equal(decoded(source).rgb, scene(64, 48))
    assert TiffImagePlugin.READ_LIBTIFF is False


@pytest.mark.parametrize("mode", ["L", "LA", "RGBA"])
def test_a_grey_profile_holds_with_and_without_alpha(tmp_path, mode):
    grey = Image.fromarray(np.tile(np.arange(64, dtype=np.uint8) * 4, (48, 1)))
    profile = grey_profile(1.8)
    grey.save(tmp_path / "plain.png", icc_profile=profile)
    picture = grey.convert(mode)
    if mode != "L":
        picture.putalpha(Image.new("L", picture.size, 255))
    picture.save(tmp_path / "a.png", icc_profile=profile)
    found = decoded(tmp_path / "a.png")
    assert found.note == ""
    assert np.array_equal(found.rgb, decoded(tmp_path / "plain.png").rgb)


def test_lab_is_read_as_it_says_without_a_word(tmp_path):
    lab = ImageCms.createProfile("LAB")
    there = ImageCms.buildTransform(ImageCms.createProfile("sRGB"), lab, "RGB", "LAB")
    picture = ImageCms.applyTransform(Image.fromarray(scene(64, 48)), there)
    picture.save(tmp_path / "a.tif", icc_profile=ImageCms.ImageCmsProfile(lab).tobytes())
    found = decoded(tmp_path / "a.tif")
    assert found.note == ""
    assert np.abs(found.rgb.astype(int) - scene(64, 48)).max() <= 3


def marked(index="R03", space=0xFFFF):
    return exif(own={0xA001: space, 0xA005: {1: index}})


def test_the_wide_space_that_exif_names_is_read_as_its_profile_is(tmp_path):
    options = {"quality": 95, "subsampling": 0}
    named = decoded(save(tmp_path / "a.jpg", exif=marked(), **options))
    profiled = decoded(save(tmp_path / "b.jpg", icc_profile=rgb_profile(WIDE_GREEN, 563 / 256), **options))
    assert "opRGB" in named.note
    assert np.abs(named.rgb.astype(int) - profiled.rgb).max() <= 2
    assert np.abs(named.rgb.astype(int) - scene()).max() > 5


@pytest.mark.parametrize("block", [marked("R98", 1), marked("R98"), marked("R03", 1), exif(own={0xA001: 0xFFFF})])
def test_other_marks_stay_srgb(tmp_path, block):
    found = decoded(save(tmp_path / "a.jpg", exif=block, quality=95))
    assert np.array_equal(found.rgb, decoded(save(tmp_path / "b.jpg", quality=95)).rgb)
    assert found.note == ""


def test_inks_are_no_light_whatever_exif_names(tmp_path):
    Image.fromarray(scene(64, 48)).convert("CMYK").save(tmp_path / "a.jpg", exif=marked())
    assert decoded(tmp_path / "a.jpg").note == "CMYK without a profile"


def test_a_profile_goes_before_what_exif_names(tmp_path):
    profile = rgb_profile(DISPLAY_P3, 2.2)
    found = decoded(save(tmp_path / "a.jpg", exif=marked(), icc_profile=profile))
    assert np.array_equal(found.rgb, decoded(save(tmp_path / "b.jpg", icc_profile=profile)).rgb)


@pytest.mark.parametrize("size", [(20_000, 40), (40, 20_000), (4000, 48)])
def test_a_strip_is_refused_by_its_own_size(tmp_path, size):
    path = save(tmp_path / "a.png", np.zeros((size[1], size[0]), np.uint8))
    with pytest.raises(FrameRefused, match=f"{size[0]} x {size[1]} pixels, a strip"), open_picture(path):
        pytest.fail("a strip was accepted")


def test_a_panorama_is_no_strip(tmp_path):
    assert decoded(save(tmp_path / "a.png", np.zeros((52, 4000), np.uint8))).rgb.shape == (17, 1280, 3)


@pytest.mark.parametrize(("width", "height"), [(60_000, 60_000), (2**31 - 1, 2**31 - 1), (MOST_PIXELS + 1, 1)])
def test_a_bomb_is_refused_by_its_header_without_allocating(width, height):
    data = png_header(width, height)
    tracemalloc.start()
    try:
        with pytest.raises(FrameRefused, match=f"{width} x {height} pixels"), open_picture(io.BytesIO(data)):
            pytest.fail("the header was accepted")
        assert tracemalloc.get_traced_memory()[1] < 2_000_000
    finally:
        tracemalloc.stop()


def test_a_dot_is_refused(tmp_path):
    with pytest.raises(FrameRefused, match="1 x 1 pixels"), open_picture(save(tmp_path / "a.png", scene(1, 1))):
        pytest.fail("a dot was accepted")


def test_pillows_own_guard_is_left_as_it_was(tmp_path):
    before = Image.MAX_IMAGE_PIXELS
    decoded(save(tmp_path / "a.tif", scene(64, 48)))
    assert before == Image.MAX_IMAGE_PIXELS
    assert before is not None
