"""Originals of every format and turn, against what Pillow and the pictures' makers say."""

import gc
import io
from pathlib import Path

import numpy as np
import pytest
import pyvips
import rawpy
import tifffile
from PIL import Image, ImageCms

from setsolver.catalog.reader import picture
from setsolver.colour.lab import linear_to_lab, linear_to_srgb, srgb_to_linear
from setsolver.errors import FrameRefused
from setsolver.render.original import _stored, read_original, turned
from setsolver.render.raw import developed
from tests.catalog.pictures import CLAY, SKY, dng, exif, save, scene
from tests.catalog.profiles import DISPLAY_P3, SRGB, grey_profile, rgb_profile
from tests.render.raws import PATCHES, patches_dng


def everything(width, height):
    return 0, 0, width, height


def srgb(original):
    light = original.light(0, 0, original.width, original.height)
    return linear_to_srgb(light @ original.curves.matrix.T.astype(np.float32))


@pytest.mark.parametrize("ending", ["jpg", "png", "tif", "webp"])
def test_pixels_are_those_of_the_file(tmp_path, ending):
    options = {"jpg": {"quality": 98, "subsampling": 0}, "webp": {"lossless": True}}.get(ending, {})
    path = save(tmp_path / f"a.{ending}", **options)
    found = read_original(path, everything)
    assert (found.width, found.height, found.codes.dtype) == (480, 320, np.uint8)
    assert np.abs(srgb(found).astype(int) - scene()).mean() < 0.5
    assert found.note == ""


@pytest.mark.parametrize("orientation", [1, 6])
@pytest.mark.parametrize("subsampling", [0, 2])
def test_codes_of_a_jpeg_are_libvips_s(tmp_path, orientation, subsampling):
    path = tmp_path / "a.jpg"
    Image.fromarray(scene()).save(path, quality=80, subsampling=subsampling, exif=exif(orientation))
    theirs = pyvips.Image.new_from_file(str(path)).autorot().numpy()
    found = read_original(path, lambda w, h: (5, 7, w - 9, h - 3))
    assert (found.part(5, 7, found.width - 9, found.height - 3) == theirs[7:-3, 5:-9]).all()


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_part_of_a_turned_picture_is_that_part(tmp_path, orientation, turn):
    pixels = np.random.default_rng(orientation).integers(0, 255, (40, 60, 3), dtype=np.uint8)
    path = tmp_path / "a.png"
    Image.fromarray(pixels).save(path, exif=exif(orientation))
    whole = turned(pixels, orientation, turn)
    height, width = whole.shape[:2]
    found = read_original(path, lambda w, h: (5, 7, w - 9, h - 3), turn=turn)
    assert (found.width, found.height) == (width, height)
    assert found.corner == (5, 7)
    assert (found.codes == whole[7 : height - 3, 5 : width - 9]).all()


@pytest.mark.parametrize(("orientation", "sky_at"), [(1, (0, 0)), (3, (-1, -1)), (6, (0, -1)), (8, (-1, 0))])
def test_orientations_of_cameras(tmp_path, orientation, sky_at):
    """Row 0 and column 0 as stored are, by TIFF 6.0: 1 top left, 3 bottom right, 6 right top, 8 left bottom."""
    pixels = np.zeros((40, 60, 3), np.uint8)
    pixels[:10, :10] = 255
    path = tmp_path / "a.png"
    Image.fromarray(pixels).save(path, exif=exif(orientation))
    assert read_original(path, everything).codes[sky_at].tolist() == [255] * 3


def test_a_turn_is_clockwise():
    pixels = np.zeros((2, 3, 3), np.uint8)
    pixels[0, 0] = 9
    assert turned(pixels, 1, 90)[0, 1].tolist() == [9] * 3


def test_boxes_find_their_way_back():
    assert _stored((0, 0, 10, 20), (100, 50), 1, 0) == (0, 0, 10, 20)
    assert _stored((0, 0, 10, 20), (100, 50), 6, 0) == (
        0,
        40,
        20,
        50,
    )  # left top of what is seen: bottom left as stored


def test_sixteen_bits_are_kept(tmp_path):
    ramp = np.repeat(np.linspace(0, 65535, 4096).astype(np.uint16).reshape(64, 64, 1), 3, axis=2)
    tifffile.imwrite(tmp_path / "a.tif", ramp, photometric="rgb")
    found = read_original(tmp_path / "a.tif", everything)
    assert found.codes.dtype == np.uint16
    assert (found.codes == ramp).all()
    assert len(np.unique(found.light(0, 0, 64, 64)[..., 1])) == 4096


def test_grey_and_alpha_become_three_channels_over_white(tmp_path):
    save(tmp_path / "grey.png", np.full((32, 40), 77, np.uint8))
    assert (read_original(tmp_path / "grey.png", everything).codes == 77).all()
    half = np.full((32, 40, 4), 0, np.uint8)
    half[:, 20:, 3] = 255
    save(tmp_path / "alpha.png", half)
    codes = read_original(tmp_path / "alpha.png", everything).codes
    assert codes[0, 0].tolist() == [255] * 3
    assert codes[0, -1].tolist() == [0] * 3


@pytest.mark.parametrize("profile", [rgb_profile(DISPLAY_P3, 2.2), rgb_profile(SRGB, 1.8)], ids=["p3", "gamma 1.8"])
def test_an_embedded_profile_is_honoured(tmp_path, profile):
    path = save(tmp_path / "a.png", icc_profile=profile)
    change = ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(io.BytesIO(profile)), ImageCms.createProfile("sRGB"), "RGB", "RGB", renderingIntent=1
    )
    theirs = np.asarray(ImageCms.applyTransform(Image.fromarray(scene()), change))
    assert np.abs(srgb(read_original(path, everything)).astype(int) - theirs).max() <= 2


def test_a_grey_profile_is_honoured(tmp_path):
    path = save(tmp_path / "a.png", np.full((32, 40), 128, np.uint8), icc_profile=grey_profile(1.8))
    expected = 1.055 * ((128 / 255) ** 1.8) ** (1 / 2.4) - 0.055  # its gamma, then the sRGB curve
    assert srgb(read_original(path, everything))[0, 0] == pytest.approx(round(expected * 255), abs=2)


def test_a_damaged_profile_is_said_and_read_as_srgb(tmp_path):
    profile = rgb_profile(DISPLAY_P3, 2.2).replace(b"curv\0\0\0\0", b"what\0\0\0\0")
    found = read_original(save(tmp_path / "a.png", icc_profile=profile), everything)
    assert "unusable" in found.note
    assert (found.codes == scene()).all()


def test_cmyk_is_read_by_a_common_press_and_said(tmp_path):
    path = tmp_path / "a.jpg"
    Image.fromarray(scene()).convert("CMYK").save(path, quality=98)
    found = read_original(path, everything)
    assert "CMYK" in found.note
    sky, clay = srgb(found)[5, 5].astype(int), srgb(found)[-5, -5].astype(int)
    assert np.abs(sky - SKY).max() < 60
    assert sky[2] > sky[0]
    assert clay[0] > clay[2]
    assert np.abs(clay - CLAY).max() < 60


def test_heic_is_as_the_scan_sees_it():
    """The jar of tests/data, whose pixels must outlive what libheif holds."""
    path = Path(__file__).parents[1] / "data" / "metadata" / "jar.heic"
    found = read_original(path, everything)
    gc.collect()
    assert (found.width, found.height) == (96, 128)
    assert np.abs(found.codes.astype(int) - picture(path, 640)).max() <= 1


def test_raw_is_developed_linear_and_upright(tmp_path):
    """The samples of this DNG rise along both axes by equal steps: linear codes rise as evenly."""
    path = tmp_path / "a.dng"
    path.write_bytes(dng(b"", (40, 32)))
    found = read_original(path, everything, raw=True)
    assert (found.width, found.height, found.codes.dtype) == (256, 192, np.uint16)
    light = found.light(0, 0, 256, 192) @ found.curves.matrix.T
    diagonal = light[np.arange(40, 150), np.arange(40, 150)].mean(axis=1)
    assert np.corrcoef(diagonal, np.arange(110))[0, 1] > 0.999
    assert "camera's white balance" in found.note


@pytest.mark.parametrize("orientation", [3, 6, 8])
def test_raw_is_turned_by_the_camera_s_word(tmp_path, orientation):
    path = tmp_path / "a.dng"
    path.write_bytes(dng(b"", (40, 32), orientation=orientation))
    found = read_original(path, everything, raw=True)
    assert (found.width, found.height) == ((256, 192) if orientation == 3 else (192, 256))


@pytest.mark.parametrize("raw", [False, True])
@pytest.mark.parametrize("content", [b"", b"no picture at all", b"\xff\xd8\xff\xe0" + b"\0" * 200])
def test_what_cannot_be_decoded_is_refused_in_a_sentence(tmp_path, content, raw):
    path = tmp_path / "a.jpg"
    path.write_bytes(content)
    with pytest.raises(FrameRefused):
        read_original(path, everything, raw=raw)


@pytest.mark.parametrize("ending", ["jpg", "png", "tif"])
def test_a_truncated_original_is_refused(tmp_path, ending):
    path = save(tmp_path / f"a.{ending}", np.random.default_rng(0).integers(0, 255, (200, 300, 3), dtype=np.uint8))
    data = path.read_bytes()
    path.write_bytes(data[: len(data) // 2])
    with pytest.raises(FrameRefused, match="whole"):
        read_original(path, everything)


def test_a_missing_original_is_refused(tmp_path):
    with pytest.raises(FrameRefused):
        read_original(tmp_path / "gone.jpg", everything)


def test_originals_are_left_alone(tmp_path):
    path = save(tmp_path / "a.jpg")
    before = path.read_bytes(), path.stat().st_mtime_ns
    read_original(path, everything)
    assert (path.read_bytes(), path.stat().st_mtime_ns) == before


def test_light_of_eight_bits_is_the_same_as_elsewhere(tmp_path):
    path = save(tmp_path / "a.png")
    found = read_original(path, everything)
    assert np.abs(found.light(0, 0, 480, 320) - srgb_to_linear(scene())).max() < 1e-6
    assert linear_to_lab(found.light(0, 0, 1, 1))[0, 0, 0] == pytest.approx(78.0, abs=2)


@pytest.mark.parametrize("mosaic", ["RGGB", "BGGR", "GRBG", "GBRG"])
@pytest.mark.parametrize(
    ("bits", "black", "neutral"), [(12, 0, (1.0, 1.0, 1.0)), (14, 512, (0.5, 1.0, 0.75)), (16, 1024, (0.4, 1.0, 0.6))]
)
def test_raw_of_known_colours_comes_back_as_those_colours(tmp_path, mosaic, bits, black, neutral):
    """Fields of known linear sRGB behind a camera of known primaries, white balance, black and mosaic (DNG 1.4).

    So that highlights are kept, LibRaw brings the most sensitive channel down to the least: one factor for all.
    """
    found = read_original(patches_dng(tmp_path / "a.dng", mosaic, bits, black, neutral), everything, raw=True)
    light = found.light(0, 0, found.width, found.height) @ found.curves.matrix.T
    fields = np.stack([part[60:100, 14:26].mean(axis=(0, 1)) for part in np.split(light, len(PATCHES), axis=1)])
    assert np.abs(fields - PATCHES * min(neutral) / max(neutral)).max() < 5e-4


@pytest.mark.parametrize("said", [(), (b"Data error",), ("Data error",)])
def test_whatever_the_raw_library_says_of_a_file_is_one_sentence(tmp_path, monkeypatch, said):
    def fails(*_):
        raise rawpy.LibRawError(*said)

    monkeypatch.setattr(rawpy, "imread", fails)
    with pytest.raises(FrameRefused, match=r"cannot develop this RAW file \((Data error)?\); export it as TIFF"):
        developed(tmp_path / "a.dng")
