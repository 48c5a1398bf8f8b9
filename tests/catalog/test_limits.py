"""What a file would take is judged by its headers, and what takes too much is refused before anything is decoded."""

import io
import os
import struct
import tracemalloc

import numpy as np
import pytest
from PIL import Image

from setsolver.catalog import limits
from setsolver.catalog.limits import coefficient_bytes, file_bytes, most_bytes, most_seconds
from setsolver.catalog.preview import mpf_preview
from setsolver.catalog.reader import read
from setsolver.errors import BadInput, FrameRefused
from tests.catalog.pictures import dng, scene, with_mpf

SMALL_MB = 4
"""A limit that a picture of 1000 x 800 fits into, and its copies do not."""


@pytest.fixture
def tight(monkeypatch):
    monkeypatch.setenv(limits.MEMORY_VARIABLE, str(SMALL_MB))


def jpeg(size=(320, 240), mode="RGB", **options):
    out = io.BytesIO()
    Image.new(mode, size, 90).save(out, "JPEG", **options)
    return out.getvalue()


def riff(kind, data):
    body = b"WEBP" + kind + struct.pack("<I", len(data)) + data
    return b"RIFF" + struct.pack("<I", len(body)) + body


def test_both_limits_come_from_the_environment(monkeypatch):
    assert (most_bytes(), most_seconds()) == (1_000_000_000, 30)
    monkeypatch.setenv(limits.MEMORY_VARIABLE, "64")
    monkeypatch.setenv(limits.TIME_VARIABLE, "2.5")
    assert (most_bytes(), most_seconds()) == (64_000_000, 2.5)


@pytest.mark.parametrize("text", ["", "much", "0", "-5", "nan", "inf", "1e30"])
def test_a_limit_that_is_none_is_told(monkeypatch, text):
    monkeypatch.setenv(limits.MEMORY_VARIABLE, text)
    with pytest.raises(BadInput, match="SETSOLVER_FRAME_MB is"):
        most_bytes()


def test_what_libjpeg_keeps_is_counted_by_its_frame_header():
    """Two bytes a sample, and a chroma sample to each, every second or every fourth lightness sample."""
    assert coefficient_bytes(io.BytesIO(jpeg())) == 0
    for subsampling, samples in ((0, 3.0), (1, 2.0), (2, 1.5)):
        kept = coefficient_bytes(io.BytesIO(jpeg(progressive=True, subsampling=subsampling)))
        assert kept == pytest.approx(2 * samples * 320 * 240 * 1.1)
    assert coefficient_bytes(io.BytesIO(jpeg(mode="L", progressive=True))) == pytest.approx(2 * 320 * 240 * 1.1)


def test_channels_one_after_the_other_are_kept_too():
    """A sequential JPEG whose first scan has one of three channels (ITU-T T.81, B.2.3): only the header is read."""
    whole = bytearray(jpeg())
    whole[whole.index(b"\xff\xda") + 4] = 1
    assert coefficient_bytes(io.BytesIO(bytes(whole))) == pytest.approx(2 * 1.5 * 320 * 240 * 1.1)


def test_a_jpeg_of_a_thousand_passes_is_refused_at_once(tmp_path):
    whole = jpeg((1600, 1200), "L", progressive=True)
    last = whole[whole.rindex(b"\xff\xda") : -2]
    (tmp_path / "a.jpg").write_bytes(whole[:-2] + last * 1000 + b"\xff\xd9")
    with pytest.raises(FrameRefused, match=r"written in 100\d passes"):
        read(tmp_path / "a.jpg")


@pytest.mark.parametrize(
    "claims",
    [
        riff(b"VP8 ", b"\x30\x01\0\x9d\x01\x2a" + struct.pack("<HH", 16383, 16383) + bytes(8)),
        riff(b"VP8X", bytes(4) + (16382).to_bytes(3, "little") * 2),
        riff(b"VP8L", b"\x2f" + struct.pack("<I", 16382 | 16382 << 14) + b"\x88\x88\x08" + bytes(6)),
    ],
    ids=["lossy", "extended", "lossless"],
)
def test_forty_bytes_that_claim_a_gigabyte_are_refused(tmp_path, claims):
    (tmp_path / "a.webp").write_bytes(claims)
    with pytest.raises(FrameRefused, match=r"about 4\d\d\d MB of memory, more than the 1000 MB .*SETSOLVER_FRAME_MB"):
        read(tmp_path / "a.webp")


@pytest.mark.parametrize("options", [{"lossless": True}, {"quality": 50}, {"save_all": True, "exif": b"Exif\0\0II*\0"}])
def test_the_size_of_a_webp_is_read_from_its_first_bytes(monkeypatch, options):
    out = io.BytesIO()
    Image.new("RGB", (1234, 567), 90).save(out, "WEBP", **options)
    asked = []
    monkeypatch.setattr(limits, "check_bytes", asked.append)
    limits.check_webp(out.getvalue()[:32])
    assert asked == [1234 * 567 * 18]


def test_a_file_of_four_gigabytes_of_nothing_is_not_read(tmp_path):
    (tmp_path / "a.jpg").write_bytes(jpeg())
    os.truncate(tmp_path / "a.jpg", 4 << 30)
    tracemalloc.start()
    try:
        with pytest.raises(FrameRefused, match="SETSOLVER_FRAME_MB"):
            read(tmp_path / "a.jpg")
        assert tracemalloc.get_traced_memory()[1] < 50e6
    finally:
        tracemalloc.stop()


def test_a_preview_is_read_only_where_it_lies_within_the_file(tmp_path):
    """Sixty-three entries of four gigabytes each, in a file that is as long on paper."""
    primary = jpeg((3600, 2400))
    whole = bytearray(with_mpf(primary, jpeg((1800, 1200))))
    at = whole.index(struct.pack("<III", 0x010002, len(jpeg((1800, 1200))), len(whole) - len(jpeg((1800, 1200))) - 10))
    struct.pack_into("<I", whole, at + 4, 0xFFFFFF00)
    for length in (len(whole), 5 << 30):
        (tmp_path / "a.jpg").write_bytes(whole)
        os.truncate(tmp_path / "a.jpg", length)
        with (tmp_path / "a.jpg").open("rb") as stream, Image.open(stream) as image:
            assert mpf_preview(image, stream, 1280) is None


def test_a_sensor_of_nine_hundred_megapixels_is_not_developed(tmp_path):
    content = bytearray(dng(b"", (0, 0)))
    size = 30_000
    for tag, old, new in ((256, 256, size), (257, 192, size), (278, 192, size), (279, 256 * 192 * 2, size * size * 2)):
        at = content.index(struct.pack("<HHII", tag, 4, 1, old))
        struct.pack_into("<I", content, at + 8, new)
    (tmp_path / "a.dng").write_bytes(content)
    os.truncate(tmp_path / "a.dng", size * size * 2 + len(content))
    with pytest.raises(FrameRefused, match="developing it would take about 6300 MB"):
        read(tmp_path / "a.dng")


def as_mode(mode):
    pixels = scene(1000, 800)
    if mode == "I;16":
        return Image.fromarray(pixels[..., 1].astype(np.uint16) * 257)
    if mode == "I":
        return Image.fromarray(pixels[..., 1].astype(np.int32) * 200)
    if mode == "F":
        return Image.fromarray(pixels[..., 1].astype(np.float32) / 255)
    return Image.fromarray(pixels).convert(mode)


@pytest.mark.parametrize(
    ("mode", "ending", "long_side"),
    [
        ("RGB", "png", 200), ("RGBA", "png", 200), ("P", "png", 200), ("I;16", "png", 200), ("I", "tif", 200),
        ("F", "tif", 200), ("CMYK", "tif", 200), ("RGB", "png", 600), ("RGB", "png", 1280),
    ],
)  # fmt: skip
def test_a_picture_whose_copies_do_not_fit_is_shrunk_in_bands_to_the_same_picture(
    tmp_path, monkeypatch, mode, ending, long_side
):
    file = tmp_path / f"a.{ending}"
    as_mode(mode).save(file)
    whole = read(file, long_side=long_side)
    monkeypatch.setenv(limits.MEMORY_VARIABLE, str(SMALL_MB))
    monkeypatch.setattr("setsolver.catalog.decode._BAND_PIXELS", 50_000)
    banded = read(file, long_side=long_side)
    assert (banded.width, banded.height, banded.rgb.shape) == (whole.width, whole.height, whole.rgb.shape)
    assert np.abs(banded.rgb.astype(int) - whole.rgb).mean() < 1.5


@pytest.mark.parametrize(
    ("long_side", "size"), [(320, (320, 240)), (160, (160, 120)), (100, (160, 120)), (40, (40, 30))]
)
def test_a_jpeg_counts_its_coefficients_its_file_twice_and_four_bytes_a_sample(tmp_path, monkeypatch, long_side, size):
    """By hand: pixels at the smallest scale of 1, 1/2, 1/4 and 1/8 that serves; four bytes hold what follows, too."""
    asked = []
    monkeypatch.setattr("setsolver.catalog.jpeg.check_bytes", asked.append)
    for mode, channels, progressive in (("RGB", 3, False), ("L", 1, False), ("L", 1, True)):
        data = jpeg(mode=mode, progressive=progressive)
        (tmp_path / "a.jpg").write_bytes(data)
        read(tmp_path / "a.jpg", long_side=long_side)
        kept = 2 * 320 * 240 * 1.1 * progressive
        assert asked.pop() == pytest.approx(kept + 2 * len(data) + size[0] * size[1] * 4 * channels)


def test_a_picture_that_does_not_fit_at_all_is_refused(tmp_path, tight):
    Image.fromarray(scene(1600, 1200)).save(tmp_path / "a.png")
    with pytest.raises(FrameRefused, match="about 8 MB of memory, more than the 4 MB"):
        read(tmp_path / "a.png")


def test_a_stream_keeps_its_place():
    stream = io.BytesIO(b"12345")
    stream.seek(2)
    assert (file_bytes(stream), stream.tell()) == (5, 2)
