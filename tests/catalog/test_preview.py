"""Embedded previews by the Multi-Picture Format (CIPA DC-007-2021)."""

import io
import struct

import numpy as np
import pytest
from PIL import Image

from setsolver.catalog import preview
from setsolver.catalog.decode import decode_small, open_picture
from setsolver.catalog.preview import mpf_preview
from setsolver.catalog.reader import read
from tests.catalog.pictures import exif, scene, with_mpf

MARK = np.full((1200, 1800, 3), 90, np.uint8)
"""A preview that shows something else than the picture, so that a test sees which one was used."""


def jpeg(pixels, **options):
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "JPEG", **options)
    return out.getvalue()


def found(data, long_side=1280):
    stream = io.BytesIO(data)
    with open_picture(stream) as image:
        return mpf_preview(image, stream, long_side)


@pytest.mark.parametrize("order", ["<", ">"])
def test_a_large_preview_is_found(order):
    preview = jpeg(MARK)
    assert found(with_mpf(jpeg(scene(3600, 2400)), preview, order=order)) == preview


@pytest.mark.parametrize(
    ("kind", "pixels"),
    [
        (0x020003, MARK),  # another angle of the scene, not this picture
        (0x000000, MARK),  # says nothing of what it shows
        (0x010001, MARK[::2, ::2]),  # too small
        (0x010002, MARK[:1000]),  # letterboxed: another aspect
    ],
    ids=["multi-angle", "undefined", "small", "other-aspect"],
)
def test_other_pictures_are_no_preview(kind, pixels):
    assert found(with_mpf(jpeg(scene(3600, 2400)), jpeg(pixels), kind=kind)) is None


@pytest.mark.parametrize(
    ("full", "orientation"),
    [((4240, 2832), 1), ((4240, 2832), 3), ((4240, 2832), 8), ((6000, 4000), 1), ((8256, 5504), 6)],
)
def test_previews_of_camera_sizes_serve_whatever_the_turn(tmp_path, full, orientation):
    """1616 x 1080 for 3:2, as cameras write it, is a quarter of a percent off; the picture is never decoded."""
    mark = np.full((1080, 1616, 3), 90, np.uint8)
    mark[:200, :300] = 240
    grey = io.BytesIO()
    Image.new("L", full, 20).save(grey, "JPEG", exif=exif(orientation))
    path = tmp_path / "a.jpg"
    path.write_bytes(with_mpf(grey.getvalue(), jpeg(mark, quality=95)))
    reading = read(path)
    turned = orientation >= 5
    assert (reading.width, reading.height) == (full[::-1] if turned else full)
    assert reading.rgb.shape == ((1280, 855, 3) if turned else (855, 1280, 3))
    corner = {1: (0, 0), 3: (-1, -1), 6: (0, -1), 8: (-1, 0)}[orientation]
    assert np.abs(reading.rgb[corner].astype(int) - 240).max() <= 3
    assert np.abs(np.median(reading.rgb.astype(int), axis=(0, 1)) - 90).max() <= 3


def test_an_ordinary_jpeg_has_none():
    assert found(jpeg(scene(3600, 2400))) is None


@pytest.mark.parametrize("cut", range(20, 100, 4))
def test_a_damaged_index_never_costs_the_picture(tmp_path, cut):
    data = bytearray(with_mpf(jpeg(scene(3600, 2400)), jpeg(MARK)))
    data[cut] ^= 0xFF
    path = tmp_path / "a.jpg"
    path.write_bytes(bytes(data))
    reading = read(path)
    assert (reading.width, reading.height) == (3600, 2400)
    assert reading.rgb[2, 2].tolist() in ([90, 90, 90], [176, 196, 221])  # the preview or the picture


def test_reading_uses_the_preview_with_the_pictures_turn_and_size(tmp_path):
    path = tmp_path / "a.jpg"
    path.write_bytes(with_mpf(jpeg(scene(3600, 2400), exif=exif(6)), jpeg(MARK)))
    reading = read(path)
    assert (reading.width, reading.height) == (2400, 3600)
    assert reading.rgb.shape == (1280, 853, 3)
    assert np.abs(reading.rgb.astype(int) - 90).max() <= 2


def test_a_damaged_preview_falls_back_to_the_picture(tmp_path):
    preview = jpeg(MARK)
    path = tmp_path / "a.jpg"
    path.write_bytes(with_mpf(jpeg(scene(3600, 2400)), preview)[: -len(preview) // 2])
    reading = read(path)
    with open_picture(io.BytesIO(jpeg(scene(3600, 2400)))) as image:
        assert np.array_equal(reading.rgb, decode_small(image).rgb)


@pytest.mark.parametrize("spoil", ["noise", "no-end"])
def test_a_preview_damaged_in_part_falls_back_to_the_picture(tmp_path, spoil):
    rough = np.random.default_rng(4).integers(0, 255, (1200, 1800, 3), dtype=np.uint8)
    preview = jpeg(rough)
    noise = np.random.default_rng(5).integers(0, 255, 512, dtype=np.uint8).tobytes()
    at = len(preview) // 2
    bad = preview[:-2] if spoil == "no-end" else preview[:at] + noise + preview[at + 512 :]
    path = tmp_path / "a.jpg"
    path.write_bytes(with_mpf(jpeg(scene(3600, 2400)), bad))
    reading = read(path)
    with open_picture(io.BytesIO(jpeg(scene(3600, 2400)))) as image:
        assert np.array_equal(reading.rgb, decode_small(image).rgb)
    assert reading.note == ""


@pytest.mark.parametrize("marker", [0xC4, 0xC8, 0xCC])
def test_tables_that_come_before_the_frame_header_are_none(marker):
    """ITU-T T.81, table B.1: of C0 to CF, C4, C8 and CC are no frame headers."""
    table = bytes([0xFF, marker, 0, 9]) + bytes([8, 0, 1, 0, 2, 3, 1])
    frame = bytes([0xFF, 0xC0, 0, 9]) + bytes([8, 0, 30, 0, 40, 3, 1])
    assert preview._jpeg_size(io.BytesIO(b"\xff\xd8" + table + frame + b"\xff\xd9"), 0) == (40, 30)
    assert preview._jpeg_size(io.BytesIO(b"\xff\xd8" + table + b"\xff\xd9"), 0) is None


def test_the_index_is_all_of_its_segment_after_its_name():
    """CIPA DC-007-2021, 5.1: APP2, a length that counts itself, "MPF" and a zero, then the TIFF header."""
    content = b"II*\x00" + bytes(range(60))
    other = b"\xff\xe2" + struct.pack(">H", 2 + 12) + b"ICC_PROFILE\x00"
    own = b"\xff\xe2" + struct.pack(">H", 2 + 4 + len(content)) + b"MPF\x00" + content
    stream = io.BytesIO(b"\xff\xd8" + other + own + b"\xff\xd9")
    assert preview._index(stream) == (content, 2 + len(other) + 4 + 4)
