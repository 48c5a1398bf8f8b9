"""Fast decoding of JPEG against Pillow's own."""

import io

import numpy as np
import pytest
from PIL import Image

from setsolver.catalog.decode import open_picture
from setsolver.catalog.jpeg import jpeg_pixels


def encoded(mode="RGB", size=(1601, 1067), **options):
    rough = np.random.default_rng(3).integers(0, 255, (size[1] // 12, size[0] // 12, 3), dtype=np.uint8)
    out = io.BytesIO()
    Image.fromarray(rough).resize(size, Image.Resampling.BICUBIC).convert(mode).save(out, "JPEG", **options)
    return out.getvalue()


def pixels(data, least=(400, 266)):
    with open_picture(io.BytesIO(data)) as image:
        return jpeg_pixels(image, least)


@pytest.mark.parametrize("least", [(1601, 1067), (801, 534), (800, 533), (500, 333), (400, 266), (200, 133), (9, 9)])
@pytest.mark.parametrize("mode", ["RGB", "L"])
def test_pixels_and_scale_are_those_of_pillow(mode, least):
    data = encoded(mode, quality=90)
    with Image.open(io.BytesIO(data)) as image:
        image.draft(None, least)
        assert np.array_equal(pixels(data, least), np.asarray(image))


@pytest.mark.parametrize(
    "options",
    [{"progressive": True}, {"subsampling": 0}, {"subsampling": 1}, {"keep_rgb": True}, {"restart_marker_rows": 2}],
    ids=lambda options: next(iter(options)),
)
def test_all_ordinary_kinds_of_jpeg_are_read(options):
    data = encoded(quality=92, **options)
    with Image.open(io.BytesIO(data)) as image:
        image.draft(None, (400, 266))
        assert np.array_equal(pixels(data), np.asarray(image))


@pytest.mark.parametrize("size", [(1, 40), (40, 1), (1, 1), (3, 3)])
@pytest.mark.parametrize("mode", ["RGB", "L"])
def test_a_picture_one_pixel_wide_keeps_its_shape(mode, size):
    out = io.BytesIO()
    Image.new(mode, size, "white").save(out, "JPEG")
    with Image.open(io.BytesIO(out.getvalue())) as image:
        found = jpeg_pixels(image, size)
        assert np.array_equal(found, np.asarray(image))


def test_what_follows_the_picture_does_not_matter():
    data = encoded()
    assert np.array_equal(pixels(data + encoded("L")), pixels(data))


@pytest.mark.parametrize(
    "spoil",
    [lambda data: data[: len(data) // 2], lambda data: data[:-2], lambda data: data[:-900] + b"\xff\x49" * 400],
    ids=["half", "no-end", "broken"],
)
def test_damaged_files_are_left_to_pillow(spoil):
    assert pixels(spoil(encoded())) is None


def test_other_colours_and_formats_are_left_to_pillow():
    assert pixels(encoded("CMYK")) is None
    out = io.BytesIO()
    Image.new("RGB", (100, 80)).save(out, "PNG")
    assert pixels(out.getvalue()) is None
