"""Files as they are written, by Pillow, tifffile and libvips."""

import io

import numpy as np
import pytest
import pyvips
import tifffile
from PIL import Image, ImageCms

from setsolver.colour.lab import ciede2000, linear_to_lab, srgb_to_lab
from setsolver.colour.profile import to_srgb_light
from setsolver.errors import BadInput
from setsolver.render.encode import to_connection_space
from setsolver.render.readback import read_back
from setsolver.render.resample import Tile
from setsolver.render.save import OutProfile, Paper, exported, load_profile, save, to_steps
from tests.catalog.pictures import scene
from tests.catalog.profiles import DISPLAY_P3, grey_profile, rgb_profile
from tests.render.plain import to_srgb16

SRGB = load_profile(None)
CODES = to_srgb16(srgb_to_lab(scene(60, 40)))


def codes_for(kind):
    """The scene as a format takes it."""
    return CODES if kind == "tiff" else scene(60, 40)


@pytest.fixture
def p3(tmp_path):
    path = tmp_path / "p3.icc"
    path.write_bytes(rgb_profile(DISPLAY_P3, 2.2))
    return load_profile(path)


def test_a_tiff_has_sixteen_bits_resolution_and_profile(tmp_path):
    save(CODES, tmp_path / "a.part", Paper("tiff", SRGB, 203.5))
    with tifffile.TiffFile(tmp_path / "a.part") as file:
        page = file.pages[0]
        assert page.bitspersample == 16
        assert (page.asarray() == CODES).all()
        top, bottom = page.tags["XResolution"].value
        assert top / bottom == pytest.approx(203.5, abs=0.01)
        assert page.tags["ResolutionUnit"].value == 2  # inch (TIFF 6.0)
        assert page.tags["InterColorProfile"].count > 100


def test_a_jpeg_is_444_with_resolution_and_profile(tmp_path):
    save(scene(60, 40), tmp_path / "a.part", Paper("jpeg", SRGB, 300.0))
    with Image.open(tmp_path / "a.part") as image:
        assert image.format == "JPEG"
        assert [layer[1:3] for layer in image.layer] == [(1, 1)] * 3
        assert image.info["dpi"] == pytest.approx((300, 300), abs=1)
        assert b"acsp" in image.info["icc_profile"]
        assert np.abs(np.asarray(image).astype(int) - scene(60, 40)).mean() < 2


def test_a_large_jpeg_is_the_same_picture_without_being_held(tmp_path, monkeypatch):
    save(scene(60, 40), tmp_path / "fitted.jpg", Paper("jpeg", SRGB, 300))
    monkeypatch.setattr("setsolver.render.save._HELD", 60 * 40 - 1)
    save(scene(60, 40), tmp_path / "plain.jpg", Paper("jpeg", SRGB, 300))
    fitted, plain = (np.asarray(Image.open(tmp_path / name)) for name in ("fitted.jpg", "plain.jpg"))
    assert (fitted == plain).all()  # what codes stand for the coefficients changes, not the coefficients (T.81, K.2)
    assert (tmp_path / "plain.jpg").stat().st_size > (tmp_path / "fitted.jpg").stat().st_size


def test_every_tone_of_a_jpeg_is_the_code_that_was_given(tmp_path):
    for code in (0, 1, 64, 127, 128, 200, 254, 255):
        save(np.full((16, 16, 3), code, np.uint8), tmp_path / "a.part", Paper("jpeg", SRGB, 300.0))
        with Image.open(tmp_path / "a.part") as image:
            assert np.asarray(image.convert("RGB")).mean() == pytest.approx(code, abs=0.01)


@pytest.mark.parametrize(("kind", "codes"), [("jpeg", CODES), ("tiff", scene(60, 40))])
def test_codes_of_another_depth_are_refused_rather_than_cut(tmp_path, kind, codes):
    with pytest.raises(KeyError):
        save(codes, tmp_path / "a.part", Paper(kind, SRGB, 300.0))


def test_codes_of_a_profile_are_those_of_littlecms(tmp_path, p3):
    """The way back is Pillow's, at 8 bits; the way out is ours up to L*a*b*, then libvips's."""
    lab = srgb_to_lab(scene(60, 40))
    save(to_steps(to_connection_space(lab)), tmp_path / "a.part", Paper("jpeg", p3, 300.0))
    with Image.open(tmp_path / "a.part") as image:
        own = ImageCms.ImageCmsProfile(io.BytesIO(image.info["icc_profile"]))
        change = ImageCms.buildTransform(own, ImageCms.createProfile("sRGB"), "RGB", "RGB", renderingIntent=1)
        back = np.asarray(ImageCms.applyTransform(image, change))
    assert np.abs(back.astype(int) - scene(60, 40)).mean() < 2


def test_sixteen_bits_of_a_profile_come_back_to_a_tenth_of_a_delta(tmp_path, p3):
    lab = np.random.default_rng(0).uniform([35, -20, -20], [85, 20, 20], (40, 60, 3)).astype(np.float32)
    save(to_steps(to_connection_space(lab)), tmp_path / "a.part", Paper("tiff", p3, 300.0))
    codes = tifffile.imread(tmp_path / "a.part")
    curves = to_srgb_light(p3.file.read_bytes(), 65536)
    light = np.stack([curves.light[c][codes[..., c]] for c in range(3)], axis=-1) @ curves.matrix.T.astype(np.float32)
    assert ciede2000(linear_to_lab(light.astype(np.float32)), lab).max() < 0.1


PUBLISHED = {
    (65535, 65535, 65535): (100.0, 0.0, 0.0),
    (65535, 0, 0): (54.29, 80.81, 69.89),
    (0, 65535, 0): (87.82, -79.27, 80.99),
    (0, 0, 65535): (29.57, 68.30, -112.03),
}
"""L*a*b* (D50) of the primaries of sRGB as tables of its ICC profiles give them; from memory, to two decimals."""


@pytest.mark.parametrize("codes", PUBLISHED)
def test_published_values_go_round_through_the_profile(codes):
    lab = np.broadcast_to(np.array(PUBLISHED[codes], np.float32), (4, 4, 3))
    out = exported(to_steps(lab), SRGB, 16)
    assert np.abs(out.numpy()[0, 0].astype(int) - codes).max() < 65535 * 0.02  # as codes: the primaries themselves
    back = out.icc_import(embedded=True, pcs="lab", intent="relative").numpy()[0, 0]
    assert ciede2000(back, lab[0, 0]) < 0.3


def test_a_border_is_white_and_around(tmp_path):
    save(CODES, tmp_path / "a.part", Paper("tiff", SRGB, 300.0, border=7))
    codes = tifffile.imread(tmp_path / "a.part")
    assert codes.shape == (54, 74, 3)
    assert (codes[7:-7, 7:-7] == CODES).all()
    codes[7:-7, 7:-7] = 65535
    assert (codes == 65535).all()


def test_a_packet_is_put_in(tmp_path):
    for kind in ("tiff", "jpeg"):
        save(
            codes_for(kind), tmp_path / "a.part", Paper(kind, SRGB, 300.0, xmp=b"<x:xmpmeta xmlns:x='adobe:ns:meta/'/>")
        )
        with Image.open(tmp_path / "a.part") as image:
            found = image.info.get("xmp") or image.tag_v2.get(700)
        assert b"xmpmeta" in found


@pytest.mark.parametrize("kind", ["tiff", "jpeg"])
def test_what_is_read_back_is_what_was_written(tmp_path, kind):
    save(codes_for(kind), tmp_path / "a.part", Paper(kind, SRGB, 250.0, border=5))
    seen = read_back(tmp_path / "a.part", 5, 640, SRGB)
    assert (seen.width, seen.height, seen.bits) == (70, 50, 16 if kind == "tiff" else 8)
    assert seen.ppi == pytest.approx(250, abs=0.5)
    assert seen.profile
    assert np.abs(seen.rgb.astype(int) - scene(60, 40)).mean() < (0.01 if kind == "tiff" else 2)


def test_a_large_file_is_read_back_small(tmp_path):
    save(np.full((90, 160, 3), 40000, np.uint16), tmp_path / "a.part", Paper("tiff", SRGB, 300.0))
    seen = read_back(tmp_path / "a.part", 0, 64, SRGB)
    assert seen.rgb.shape == (36, 64, 3)
    assert (seen.rgb == 156).all()


@pytest.mark.parametrize("kind", ["tiff", "jpeg"])
def test_squares_of_a_large_file_are_read_back_as_they_are(tmp_path, kind):
    """One lies across two of the strips in which the file is decoded."""
    codes = np.random.default_rng(3).integers(0, 65536, (75, 50, 3), dtype=np.uint16).repeat(8, 0).repeat(8, 1)
    codes = codes if kind == "tiff" else (codes >> 8).astype(np.uint8)
    save(codes, tmp_path / "a.part", Paper(kind, SRGB, 300.0, border=4))
    squares = [Tile(0, 64, 0, 64), Tile(200, 330, 100, 220), Tile(540, 600, 340, 400)]
    seen = read_back(tmp_path / "a.part", 4, 100, SRGB, squares)
    for square in squares:
        wanted = codes[square.top : square.bottom, square.left : square.right, 1].astype(float) / (
            257 if kind == "tiff" else 1
        )
        assert np.abs(seen.green[square] - wanted).mean() < (1 if kind == "tiff" else 8)


@pytest.mark.parametrize("kind", ["tiff", "jpeg"])
def test_another_profile_is_read_back_in_srgb(tmp_path, p3, kind):
    save(to_steps(to_connection_space(srgb_to_lab(scene(60, 40)))), tmp_path / "a.part", Paper(kind, p3, 300.0))
    seen = read_back(tmp_path / "a.part", 0, 640, p3)
    away = np.abs(seen.rgb.astype(int) - scene(60, 40))
    assert away.max() <= 3 if kind == "tiff" else away.mean() <= 2


def test_profiles_that_are_none_for_prints_are_refused(tmp_path):
    for name, data, why in [
        ("grey.icc", grey_profile(2.2), "is for GRAY"),
        ("text.icc", b"no profile", "no ICC profile"),
        ("cut.icc", rgb_profile(DISPLAY_P3, 2.2)[:200], "no profile"),
        ("camera.icc", rgb_profile(DISPLAY_P3, 2.2).replace(b"mntr", b"scnr"), "class 'scnr'"),
    ]:
        (tmp_path / name).write_bytes(data)
        with pytest.raises(BadInput, match=why):
            load_profile(tmp_path / name)
    with pytest.raises(BadInput, match="cannot be read"):
        load_profile(tmp_path / "gone.icc")


def test_a_profile_is_called_by_its_description(p3):
    assert p3.name == "made"
    assert OutProfile("sRGB IEC61966-2.1") == SRGB


@pytest.mark.parametrize("kind", ["tiff", "jpeg"])
def test_a_file_that_breaks_off_is_not_read_back(tmp_path, kind):
    path = tmp_path / "a.part"
    save(codes_for(kind), path, Paper(kind, SRGB, 300.0, border=3))
    whole = path.read_bytes()
    for cut in (len(whole) // 2, len(whole) - 600 if kind == "jpeg" else len(whole) * 9 // 10):
        path.write_bytes(whole[:cut])
        with pytest.raises(pyvips.Error):
            read_back(path, 3, 640, SRGB)


@pytest.mark.parametrize("margin", [0, 3])
@pytest.mark.parametrize("left", [0.5, 0.9, 0.9999])
def test_a_tiff_of_which_rows_are_missing_is_not_read_back(tmp_path, left, margin):
    path = tmp_path / "a.part"
    save(CODES, path, Paper("tiff", SRGB, 300.0))
    path.write_bytes(path.read_bytes()[: int(left * path.stat().st_size)])
    with pytest.raises(EOFError, match=r"a\.part breaks off"):
        read_back(path, margin, 640, SRGB)


@pytest.mark.parametrize("side", [1280, 100, 41])
@pytest.mark.parametrize("margin", [0, 4])
def test_rows_read_as_they_lie_are_those_that_libvips_finds(tmp_path, monkeypatch, side, margin):
    codes = np.random.default_rng(3).integers(0, 65536, (413, 297, 3), dtype=np.uint16)
    save(codes, tmp_path / "a.part", Paper("tiff", SRGB, 300.0))
    squares = [Tile(0, 64, 0, 64), Tile(30, 300, 100, 220)]
    ours = read_back(tmp_path / "a.part", margin, side, SRGB, squares)
    monkeypatch.setattr("setsolver.render.readback.rows_in", lambda *_: None)
    theirs = read_back(tmp_path / "a.part", margin, side, SRGB, squares)
    assert (ours.rgb == theirs.rgb).all()
    assert all((ours.green[square] == theirs.green[square]).all() for square in squares)


@pytest.mark.parametrize("border", [0, 3])
@pytest.mark.parametrize("kind", ["tiff", "jpeg"])
def test_each_byte_of_a_file_is_heard_once_and_in_order(tmp_path, kind, border):
    path, heard = tmp_path / "a.part", bytearray()
    save(codes_for(kind), path, Paper(kind, SRGB, 300.0, border=border, xmp=b"<x/>"))
    read_back(path, border, 32, SRGB, hear=heard.extend)
    assert bytes(heard) == path.read_bytes()


def test_what_is_too_large_for_a_tiff_becomes_a_bigtiff(tmp_path, monkeypatch):
    monkeypatch.setattr("setsolver.render.save.MOST", CODES.nbytes)
    save(CODES, tmp_path / "a.part", Paper("tiff", SRGB, 203.5, xmp=b"<x/>"))
    with tifffile.TiffFile(tmp_path / "a.part") as file:
        assert file.is_bigtiff
        assert (file.pages[0].asarray() == CODES).all()
    seen = read_back(tmp_path / "a.part", 0, 640, SRGB)
    assert (seen.width, seen.height, seen.bits) == (60, 40, 16)
