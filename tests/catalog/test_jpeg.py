"""Fast decoding of JPEG against Pillow's own."""

import io

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageFile

from setsolver.catalog.decode import open_picture
from setsolver.catalog.jpeg import jpeg_pixels
from setsolver.errors import FrameRefused


def encoded(mode="RGB", size=(1601, 1067), **options):
    rough = np.random.default_rng(3).integers(0, 255, (size[1] // 12, size[0] // 12, 3), dtype=np.uint8)
    out = io.BytesIO()
    Image.fromarray(rough).resize(size, Image.Resampling.BICUBIC).convert(mode).save(out, "JPEG", **options)
    return out.getvalue()


def pixels(data, least=(400, 266)):
    with open_picture(io.BytesIO(data)) as image:
        found = jpeg_pixels(image, least)
    if found is None:
        return None
    assert found[1] == ""
    return found[0]


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
        found, _ = jpeg_pixels(image, size)
        assert np.array_equal(found, np.asarray(image))


def test_what_follows_the_picture_does_not_matter():
    data = encoded()
    assert np.array_equal(pixels(data + encoded("L")), pixels(data))


def noise_at(data, share, seed=0):
    """Return a file with 512 bad bytes from a share of its length on; none is 255, which would be a marker."""
    at = int(len(data) * share)
    return data[:at] + np.random.default_rng(seed).integers(0, 255, 512, dtype=np.uint8).tobytes() + data[at + 512 :]


def judged(data, least=(400, 266)):
    with open_picture(io.BytesIO(data)) as image:
        return jpeg_pixels(image, least)


def shown(data):
    """Return what a lenient viewer makes of a file: Pillow, asked to take what there is."""
    before, ImageFile.LOAD_TRUNCATED_IMAGES = ImageFile.LOAD_TRUNCATED_IMAGES, True
    try:
        return np.asarray(Image.open(io.BytesIO(data)).convert("RGB"))
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = before


@pytest.mark.parametrize("options", [{}, {"progressive": True}, {"restart_marker_rows": 2}], ids=str)
@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
def test_damage_in_the_middle_is_refused(share, options):
    with pytest.raises(FrameRefused, match="damaged in part"):
        judged(noise_at(encoded(quality=92, **options), share))


@pytest.mark.parametrize("mode", ["RGB", "L"])
@pytest.mark.parametrize("options", [{}, {"progressive": True}], ids=str)
@pytest.mark.parametrize("share", [0.05, 0.5, 0.9, 0.99])
def test_a_file_cut_off_is_refused(mode, options, share):
    data = encoded(mode, quality=92, **options)
    with pytest.raises(FrameRefused, match="cut off"):
        judged(data[: int(len(data) * share)])


@pytest.mark.parametrize("mode", ["RGB", "L"])
@pytest.mark.parametrize("options", [{}, {"progressive": True}, {"subsampling": 0}], ids=str)
@pytest.mark.parametrize("lost", [1, 2])
def test_a_file_without_its_end_marker_is_read_whole_with_a_note(mode, options, lost):
    data = encoded(mode, quality=92, **options)
    found, note = judged(data[:-lost])
    assert np.array_equal(found, pixels(data))
    assert "lacks its last bytes; the picture is whole" in note


@settings(max_examples=60, deadline=None)
@given(lost=st.integers(3, 400), subsampling=st.sampled_from([0, 2]))
def test_a_file_that_lacks_more_is_read_only_where_next_to_nothing_is_missing(lost, subsampling):
    data = encoded(size=(801, 535), quality=92, subsampling=subsampling)
    try:
        _, note = judged(data[:-lost], (801, 535))
    except FrameRefused:
        return
    wrong = (shown(data[:-lost]) != shown(data)).any(axis=2)
    assert "lacks its last bytes" in note
    assert wrong[:-32].sum() == 0
    assert wrong.sum() <= 96 * 20  # four blocks of 16, one that is half there, and what chroma spreads


def test_a_few_lost_bytes_do_not_cost_a_frame():
    assert "at most" in judged(encoded(quality=92)[:-8])[1]


def test_zeros_that_fill_up_a_file_are_no_damage():
    data = encoded()
    assert judged(data[:-2] + b"\0" * 37 + data[-2:]) is None  # Pillow reads it without a word


def test_what_libjpeg_finds_odd_in_a_header_is_left_to_pillow():
    data = encoded()
    at = data.index(b"JFIF\0") + 5
    assert judged(data[:at] + b"\x07" + data[at + 1 :]) is None  # JFIF of a revision 7 that there is not


def test_other_colours_and_formats_are_left_to_pillow():
    assert pixels(encoded("CMYK")) is None
    out = io.BytesIO()
    Image.new("RGB", (100, 80)).save(out, "PNG")
    assert pixels(out.getvalue()) is None
