"""RAW through LibRaw, on DNG files of our own making (DNG 1.4, chapter 2)."""

import io
import time
from datetime import UTC, datetime
from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image

from setsolver.catalog.raw import _shot, _time, read_raw
from setsolver.catalog.reader import read
from setsolver.domain.frame import Shot
from setsolver.errors import FrameRefused
from tests.catalog.pictures import SKY, dng, save, scene


def preview(width, height):
    out = io.BytesIO()
    Image.fromarray(scene(width, height)).save(out, "JPEG", quality=95, subsampling=0)
    return out.getvalue()


def test_pixels_come_from_the_preview_and_the_size_from_the_sensor(tmp_path):
    path = tmp_path / "kiln.dng"
    path.write_bytes(dng(preview(160, 120), (160, 120)))
    reading = read(path)
    assert (reading.width, reading.height) == (256, 192)
    assert reading.rgb.shape == (120, 160, 3)
    assert np.abs(reading.rgb[5, 5].astype(int) - SKY).max() <= 3
    assert "preview" in reading.note


def test_metadata_of_a_raw_file(tmp_path):
    path = tmp_path / "kiln.dng"
    path.write_bytes(dng(preview(160, 120), (160, 120)))
    shot = read(path).shot
    assert shot.time == datetime(2026, 5, 2, 9, 10, 11)  # noqa: DTZ001 - naive local time, as Exif
    assert shot.camera == "Hillside Clay One"
    assert shot.aperture == pytest.approx(2.8)


@pytest.mark.parametrize(("orientation", "sky_at"), [(1, (5, 5)), (3, (-5, -5)), (6, (5, -5)), (8, (-5, 5))])
def test_a_preview_without_orientation_is_turned_with_the_sensor(tmp_path, orientation, sky_at):
    path = tmp_path / "kiln.dng"
    path.write_bytes(dng(preview(160, 120), (160, 120), orientation=orientation))
    reading = read(path)
    assert (reading.width, reading.height) == ((256, 192) if orientation in (1, 3) else (192, 256))
    assert np.abs(reading.rgb[sky_at].astype(int) - SKY).max() <= 3


@pytest.mark.parametrize("data", [b"", preview(40, 32)], ids=["none", "tiny"])
def test_without_a_large_preview_the_sensor_is_developed(tmp_path, data):
    path = tmp_path / "kiln.dng"
    path.write_bytes(dng(data, (40, 32)))
    reading = read(path)
    assert reading.rgb.shape == (192, 256, 3)
    assert "developed" in reading.note
    assert reading.rgb[-20:, -20:].mean() > reading.rgb[:20, :20].mean()  # the samples rise to the lower right


def test_a_thumbnail_beside_a_raw_file_gives_way_to_it(tmp_path):
    path = tmp_path / "kiln.dng"
    path.write_bytes(dng(preview(160, 120), (160, 120)))
    reading = read(save(tmp_path / "kiln.jpg", scene(64, 48)), companion=path)
    assert (reading.width, reading.height) == (256, 192)
    assert "DNG" in reading.note


@pytest.mark.parametrize("content", [b"II*\0 no raw file at all", b"\0" * 4096, b"FUJIFILMCCD-RAW "])
def test_what_is_no_raw_file_is_refused_in_a_sentence(tmp_path, content):
    path = tmp_path / "broken.nef"
    path.write_bytes(content)
    with pytest.raises(FrameRefused, match="LibRaw cannot read"):
        read_raw(path, 1280)


@pytest.fixture(params=["America/New_York", "UTC", "Asia/Tokyo"])
def zone(request, monkeypatch):
    """Another zone for this computer's clock."""
    if not hasattr(time, "tzset"):
        pytest.skip("this system's zone cannot be set for one process")
    monkeypatch.setenv("TZ", request.param)
    time.tzset()
    yield request.param
    monkeypatch.undo()
    time.tzset()


@pytest.mark.usefixtures("zone")
@pytest.mark.parametrize("data", [b"", preview(160, 120)], ids=["developed", "preview"])
def test_a_raw_file_without_a_time_is_read_and_has_none(tmp_path, data):
    path = tmp_path / "kiln.dng"
    path.write_bytes(dng(data, (160, 120), taken=False))
    reading = read(path)
    assert (reading.width, reading.height) == (256, 192)
    assert reading.shot.time is None


@pytest.mark.usefixtures("zone")
def test_a_raw_file_of_another_writer_without_exif_is_read(tmp_path):
    tifffile = pytest.importorskip("tifffile", reason="tifffile writes bare DNG; it comes with the extra dev")
    unit = (1, 1, 0, 1, 0, 1, 0, 1, 1, 1, 0, 1, 0, 1, 0, 1, 1, 1)
    tags = [
        (50706, "B", 4, (1, 4, 0, 0), True),
        (33421, "H", 2, (2, 2), True),
        (33422, "B", 4, (0, 1, 1, 2), True),
        (50708, "s", 0, "Synthetic", True),
        (50717, "I", 1, 65535, True),
        (50721, 10, 9, unit, True),
        (50728, 5, 3, (1, 1, 1, 1, 1, 1), True),
        (50778, "H", 1, 21, True),
    ]
    bayer = (np.add.outer(np.arange(192), np.arange(256)) * 40 + 2000).astype(np.uint16)
    tifffile.imwrite(tmp_path / "kiln.dng", bayer, photometric=32803, extratags=tags, metadata=None)
    reading = read(tmp_path / "kiln.dng")
    assert (reading.width, reading.height, reading.shot.time) == (256, 192, None)


@pytest.mark.usefixtures("zone")
def test_every_way_in_which_rawpy_tells_a_time_is_understood():
    local = datetime(2026, 5, 2, 9, 10, 11)  # noqa: DTZ001 - naive local time, as Exif
    assert _time(local) == _time(local.timestamp()) == _time(local.astimezone(UTC)) == local
    epochs = [0, 0.0, None, datetime(1970, 1, 1), datetime.fromtimestamp(0), datetime.fromtimestamp(0, UTC)]  # noqa: DTZ001, DTZ006
    assert [_time(epoch) for epoch in epochs] == [None] * 6


@pytest.mark.parametrize("name", ["Lens One\0\0", b" Lens One\0"])
def test_where_no_exif_tells_anything_libraw_s_reading_does(tmp_path, name):
    (tmp_path / "kiln.raw").write_bytes(b"no TIFF at all")
    moment = datetime(2026, 5, 2, 9, 10, 11).timestamp()  # noqa: DTZ001 - naive local time, as Exif
    told = SimpleNamespace(timestamp=moment, focal_length=50.0, aperture=2.8, shutter_speed=0.01, iso_speed=400.0)
    shot = _shot(tmp_path / "kiln.raw", SimpleNamespace(other=told, lens=SimpleNamespace(model=name)), None)
    assert (shot.focal_mm, shot.aperture, shot.exposure_s, shot.iso, shot.lens) == (50, 2.8, 0.01, 400, "Lens One")
    assert shot.time == datetime(2026, 5, 2, 9, 10, 11)  # noqa: DTZ001
    nothing = SimpleNamespace(timestamp=0, focal_length=0.0, aperture=0.0, shutter_speed=0.0, iso_speed=0.0)
    for model in (None, "", b"\0"):
        unknown = SimpleNamespace(other=nothing, lens=SimpleNamespace(model=model))
        assert _shot(tmp_path / "kiln.raw", unknown, None) == Shot()
