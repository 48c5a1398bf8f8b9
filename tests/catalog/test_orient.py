"""Orientation 1 to 8 against TIFF 6.0 section 8 / CIPA DC-008 tag 274 as tabled, and against Pillow."""

import csv
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from setsolver.catalog.orient import orientation_of, turned, upright
from tests.catalog.pictures import exif

TABLE = Path(__file__).parents[1] / "data" / "metadata" / "exif_orientation.csv"


def rows():
    lines = [line for line in TABLE.read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["value"])
def test_region_lands_where_the_table_says(row):
    stored = np.zeros((200, 400), np.uint8)
    stored[50:150, 50:150] = 255  # x .125, y .25, w .25, h .5 of 400 x 200
    turned = upright(stored, int(row["value"]))
    height, width = turned.shape
    assert f"{width}x{height}" == row["upright_size"]
    ys, xs = np.nonzero(turned)
    found = (xs.min() / width, ys.min() / height, np.ptp(xs + 0) / width, np.ptp(ys) / height)
    expected = [float(row[name]) for name in ("ex_x", "ex_y", "ex_w", "ex_h")]
    assert found[:2] == tuple(expected[:2])
    assert found[2] == pytest.approx(expected[2] - 1 / width)
    assert found[3] == pytest.approx(expected[3] - 1 / height)


@pytest.mark.parametrize("value", range(1, 9))
def test_pixels_equal_pillow(value):
    stored = np.random.default_rng(value).integers(0, 255, (5, 7, 3), dtype=np.uint8)
    image = Image.fromarray(stored)
    image.info["exif"] = exif(value).tobytes()
    assert np.array_equal(upright(stored, value), np.asarray(ImageOps.exif_transpose(image)))


@pytest.mark.parametrize("claimed", [0, 9, -1, None, "6", b"\x06", (6,), 6.0])
def test_anything_else_counts_as_upright(claimed):
    assert orientation_of(claimed) == 1


@pytest.mark.parametrize(("degrees", "transpose"), [(0, None), (90, 4), (180, 3), (270, 2)])
def test_turned_is_clockwise(degrees, transpose):
    pixels = np.arange(24, dtype=np.uint8).reshape(2, 4, 3)
    image = Image.fromarray(pixels)
    # Pillow's Transpose.ROTATE_90, 180, 270 (2, 3, 4) turn counter-clockwise.
    expected = image if transpose is None else image.transpose(Image.Transpose(transpose))
    assert np.array_equal(turned(pixels, degrees), np.asarray(expected))
