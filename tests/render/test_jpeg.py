"""JPEG decoded by itself, against Pillow; what is damaged is left to others."""

import io

import numpy as np
import pytest
from PIL import Image

from setsolver.render.jpeg import decoded_jpeg
from setsolver.render.room import Room
from tests.catalog.pictures import scene


def jpeg(mode="RGB"):
    file = io.BytesIO()
    Image.fromarray(scene(64, 48)).convert(mode).save(file, "JPEG", quality=95, subsampling=0)
    return file.getvalue()


def written(tmp_path, data):
    (tmp_path / "a.jpg").write_bytes(data)
    return tmp_path / "a.jpg"


def test_codes_are_those_that_pillow_reads(tmp_path):
    codes = decoded_jpeg(written(tmp_path, jpeg()), 64, 48, Room())
    with Image.open(tmp_path / "a.jpg") as image:
        assert np.abs(codes.astype(int) - np.asarray(image)).max() <= 1


@pytest.mark.parametrize(
    "data",
    [jpeg()[:-200], jpeg()[:300], jpeg()[:-2], b"\xff\xd8\xff", b"", b"II*\0" + bytes(60)],
    ids=["cut", "no scan", "no end", "nothing more", "empty", "tiff"],
)
def test_what_is_damaged_or_no_jpeg_is_left_to_others(tmp_path, data):
    assert decoded_jpeg(written(tmp_path, data), 64, 48, Room()) is None


def test_another_size_is_left_to_others(tmp_path):
    assert decoded_jpeg(written(tmp_path, jpeg()), 48, 64, Room()) is None


def test_the_next_one_is_decoded_where_the_last_one_was(tmp_path):
    room = Room()
    first = decoded_jpeg(written(tmp_path, jpeg()), 64, 48, room)
    second = decoded_jpeg(tmp_path / "a.jpg", 64, 48, room)
    assert np.shares_memory(first, second)
