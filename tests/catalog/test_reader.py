"""Whole files through the reader: damaged bytes of any kind end in one sentence, content hashes in sixteen bytes."""

import io
import os
import warnings

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from setsolver.catalog.reader import content_hash, picture, read, read_shot
from setsolver.errors import FrameOutOfReach, FrameRefused
from tests.catalog.pictures import SKY, dng, exif, save, scene
from tests.catalog.test_xmp import packet

FORMATS = {"JPEG": "jpg", "PNG": "png", "TIFF": "tif", "WEBP": "webp"}


def whole(kind):
    out = io.BytesIO()
    options = {"xmp": packet("<xmp:Rating>3</xmp:Rating>")} if kind in ("JPEG", "WEBP") else {}
    Image.fromarray(scene(96, 64)).save(out, kind, exif=exif(6, own={0x9003: "2026:05:02 09:10:11"}), **options)
    return out.getvalue()


WHOLE = {kind: whole(kind) for kind in FORMATS}


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    kind=st.sampled_from(list(FORMATS)),
    flips=st.lists(st.tuples(st.floats(0, 1, exclude_max=True), st.integers(1, 255)), max_size=12),
    kept=st.floats(0.01, 1),
)
def test_damaged_bytes_are_read_or_refused_in_one_sentence(tmp_path, kind, flips, kept):
    data = bytearray(WHOLE[kind])
    for place, change in flips:
        data[int(place * len(data))] ^= change
    path = tmp_path / f"damaged.{FORMATS[kind]}"
    path.write_bytes(bytes(data[: max(1, int(kept * len(data)))]))
    reading, why = None, ""
    try:
        reading = read(path)
    except FrameRefused as refusal:
        why = str(refusal)
    assert (reading is None) == (";" in why)  # one sentence with a way out, or a picture
    assert reading is None or min(reading.width, reading.height, *reading.rgb.shape[:2]) >= 32


@pytest.mark.parametrize("kind", list(FORMATS))
def test_every_truncation_of_a_picture_is_noticed(tmp_path, kind):
    path = tmp_path / f"cut.{FORMATS[kind]}"
    for tenth in range(1, 8):
        path.write_bytes(WHOLE[kind][: len(WHOLE[kind]) * tenth // 10])
        if kind == "TIFF":  # its pixels come first: a cut may take metadata only
            continue
        with pytest.raises(FrameRefused, match=r"cut off|damaged|no picture"):
            read(path)


def test_a_cut_tiff_is_noticed(tmp_path):
    path = save(tmp_path / "a.tif", scene(96, 64))
    path.write_bytes(path.read_bytes()[:9000])
    with pytest.raises(FrameRefused):
        read(path)


def test_content_hash_changes_with_content_and_companion_only(tmp_path):
    one, two = tmp_path / "a.jpg", tmp_path / "b.jpg"
    one.write_bytes(b"clay")
    two.write_bytes(b"clay")
    assert content_hash(one) == content_hash(two)
    assert len(content_hash(one)) == 16
    raw = tmp_path / "a.nef"
    raw.write_bytes(b"sensor")
    paired = content_hash(one, raw)
    assert paired not in (content_hash(one), content_hash(raw))
    raw.write_bytes(b"Sensor")
    assert content_hash(one, raw) != paired


@pytest.mark.parametrize(("ending", "place", "seen"), [
    ("nef", 0, True), ("nef", 1_200_000, False), ("nef", 1_500_000, True), ("nef", 2_999_999, True),
    ("NEF", 1_200_000, False), ("jpg", 1_200_000, True),
])  # fmt: skip
def test_a_raw_files_hash_sees_head_middle_and_tail_and_any_other_s_every_byte(tmp_path, ending, place, seen):
    raw = tmp_path / f"a.{ending}"
    data = bytearray(3_000_000)
    raw.write_bytes(data)
    before = content_hash(raw)
    data[place] = 1
    raw.write_bytes(data)
    assert (content_hash(raw) != before) == seen


def test_a_vanished_file_is_out_of_reach(tmp_path):
    for job in (read, content_hash):
        with pytest.raises(FrameOutOfReach, match="vanished"):
            job(tmp_path / "gone.jpg")


@pytest.mark.parametrize("job", [read, read_shot, content_hash, lambda file: picture(file, 1280)])
def test_what_is_no_file_is_refused_and_nothing_waits_for_it(tmp_path, job):
    os.mkfifo(tmp_path / "pipe.jpg")
    (tmp_path / "zero.jpg").symlink_to("/dev/zero")
    for name in ("pipe.jpg", "zero.jpg"):
        with pytest.raises(FrameRefused, match="no regular file"):
            job(tmp_path / name)


def jpeg(*size):
    out = io.BytesIO()
    Image.fromarray(scene(*size)).save(out, "JPEG", quality=95, subsampling=0)
    return out.getvalue()


def test_metadata_and_picture_of_a_thumbnail_are_the_raw_files(tmp_path):
    raw, thumbnail = tmp_path / "kiln.DNG", save(tmp_path / "kiln.jpg", scene(64, 48))
    raw.write_bytes(dng(jpeg(160, 120), (160, 120)))
    whole = read(thumbnail, raw)
    assert read_shot(thumbnail, raw) == whole.shot != read_shot(thumbnail)
    for long_side in (160, 60):  # a thumbnail that would be large enough is one all the same
        found = picture(thumbnail, long_side)
        assert np.abs(found[3, 3].astype(int) - SKY).max() <= 6
        assert np.array_equal(found, read(raw, long_side=long_side).rgb)


def test_a_full_picture_beside_a_raw_file_is_shown_at_any_size(tmp_path):
    full = save(tmp_path / "kiln.png", scene(1280, 960))
    (tmp_path / "kiln.dng").write_bytes(dng(jpeg(160, 120), (160, 120)))
    assert picture(full, 4000).shape == (960, 1280, 3)


def test_a_turned_reading_is_the_upright_one_turned_clockwise(tmp_path):
    save(tmp_path / "jar.jpg", scene(96, 64), exif=exif(6))
    plain = read(tmp_path / "jar.jpg")
    side = read(tmp_path / "jar.jpg", turn=90)
    assert (side.width, side.height) == (plain.height, plain.width) == (96, 64)
    assert np.array_equal(side.rgb, plain.rgb[::-1].swapaxes(0, 1))
    head = read(tmp_path / "jar.jpg", turn=180)
    assert (head.width, head.height) == (plain.width, plain.height)
    assert np.array_equal(head.rgb, plain.rgb[::-1, ::-1])
    assert np.array_equal(picture(tmp_path / "jar.jpg", 1280, 270), side.rgb[::-1, ::-1])


def test_what_a_library_warns_of_is_not_shown_over_the_progress_of_a_scan(tmp_path, monkeypatch):
    from setsolver.catalog import reader  # noqa: PLC0415 - what is changed for this test

    file = tmp_path / "odd.jpg"
    file.write_bytes(WHOLE["JPEG"])
    opened = reader.open_picture

    def loudly(path):
        warnings.warn("corrupt EXIF data", UserWarning, stacklevel=1)
        return opened(path)

    monkeypatch.setattr(reader, "open_picture", loudly)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        shot = read_shot(file)
        assert shot == read(file).shot
    assert shot.time is not None
