"""Exif tags against CIPA DC-008 as tabled in tests/data/metadata/exif_tags.csv, with its sentinels."""

import csv
import math
from datetime import datetime, timedelta
from fractions import Fraction
from pathlib import Path

import pytest
from PIL import Image
from PIL.TiffImagePlugin import IFDRational

from setsolver.catalog.dates import believable
from setsolver.catalog.exif import shot_from_exif
from tests.catalog.pictures import exif

TABLE = Path(__file__).parents[1] / "data" / "metadata" / "exif_tags.csv"
TAGS = {
    row["name"]: int(row["tag"], 16)
    for row in csv.DictReader(line for line in TABLE.read_text().splitlines() if not line.startswith("#"))
}


def shot(**tags):
    return shot_from_exif(exif(own={TAGS.get(name, name): value for name, value in tags.items()}))


def test_everything_that_a_good_file_says():
    found = shot(
        DateTimeOriginal="2026:05:02 09:10:11",
        SubSecTimeOriginal="25 ",
        OffsetTimeOriginal="+02:00",
        FNumber=IFDRational(28, 10),
        FocalLength=IFDRational(50, 1),
        FocalLengthIn35mmFilm=75,
        SubjectDistance=IFDRational(3, 2),
    )
    assert found.time == datetime(2026, 5, 2, 9, 10, 11, 250_000)  # noqa: DTZ001 - naive local time, as Exif
    assert found.utc_offset == 120
    assert (found.aperture, found.focal_mm, found.focal35_mm, found.distance_m) == (2.8, 50, 75, 1.5)
    assert found.camera == "Hillside Clay One"
    assert found.instant == 1777705811.25  # 07:10:11.25 UTC


def test_the_body_serial_number():
    # Tag 0xA431, ASCII: CIPA DC-008, Exif 2.3 (2010), table 8; from memory, it is not in the table beside the tests.
    assert shot_from_exif(exif(own={0xA431: "0042017 "})).body == "0042017"
    assert shot_from_exif(exif(own={0xA431: "\0\0"})).body is None


@pytest.mark.parametrize(
    ("digits", "fraction"),
    [("25", 0.25), ("025", 0.025), ("9", 0.9), ("", 0), ("  ", 0), ("x", 0), ("123456", 0.123456)],
)
def test_sub_seconds_are_digits_after_the_point(digits, fraction):
    found = shot(DateTimeOriginal="2026:05:02 09:10:11", SubSecTimeOriginal=digits).time
    assert found == datetime(2026, 5, 2, 9, 10, 11) + timedelta(seconds=fraction)  # noqa: DTZ001 - naive


@pytest.mark.parametrize(
    "text",
    [
        "0000:00:00 00:00:00", "    :  :     :  :  ", "2026:13:02 09:10:11", "2026:02:30 09:10:11",
        "9999:12:31 23:59:59",
        "1601:01:01 00:00:00", "2026:05:02 25:00:00", "yesterday", "", b"\xff\xfe",
    ],
)  # fmt: skip
def test_absurd_dates_are_none(text):
    assert shot(DateTimeOriginal=text).time is None


def test_digitized_stands_in_for_an_absurd_original():
    found = shot_from_exif(exif(own={0x9003: "0000:00:00 00:00:00", 0x9004: "2026:05:02 09:10:11"}))
    assert found.time == datetime(2026, 5, 2, 9, 10, 11)  # noqa: DTZ001 - naive


@pytest.mark.parametrize(("offset", "minutes"), [("-05:30", -330), ("+99:00", None), ("   :  ", None), ("Z", None)])
def test_offsets(offset, minutes):
    assert shot(DateTimeOriginal="2026:05:02 09:10:11", OffsetTimeOriginal=offset).utc_offset == minutes


@pytest.mark.parametrize(
    ("value", "metres"),
    [
        (IFDRational(0, 1), None),
        (IFDRational(0xFFFFFFFF, 1), math.inf),
        (IFDRational(5, 0), None),
        (IFDRational(25, 10), 2.5),
    ],
)
def test_subject_distance_sentinels(value, metres):
    assert shot(SubjectDistance=value).distance_m == metres


@pytest.mark.parametrize("name", ["FocalLength", "FocalLengthIn35mmFilm", "FNumber"])
@pytest.mark.parametrize("value", [0, IFDRational(0, 0), "x", 10**9, ()])
def test_unknown_and_absurd_numbers_are_none(name, value):
    found = shot(**{name: value})
    assert (found.focal_mm, found.focal35_mm, found.aperture) == (None, None, None)


def test_apex_stands_in_for_missing_numbers():
    found = shot(ApertureValue=IFDRational(4, 1), ShutterSpeedValue=IFDRational(5, 1))
    assert (found.aperture, found.exposure_s) == (4.0, 1 / 32)


def test_a_maker_is_not_said_twice():
    block = exif(camera="HILLSIDE Clay Two")
    assert shot_from_exif(block).camera == "HILLSIDE Clay Two"


def test_place_is_never_read(monkeypatch):
    block = exif(own={0x9003: "2026:05:02 09:10:11"})
    block[0x8825] = {1: "N", 2: (Fraction(48), Fraction(0), Fraction(0))}
    asked = []
    real = type(block).get_ifd
    monkeypatch.setattr(type(block), "get_ifd", lambda self, tag: asked.append(tag) or real(self, tag))
    shot_from_exif(block)
    assert asked == [0x8769]


def test_a_clock_a_little_ahead_is_believed_and_one_far_ahead_is_not():
    now = datetime.now()  # noqa: DTZ005 - naive local time, as Exif
    assert believable(now + timedelta(hours=20)) is not None
    assert believable(now + timedelta(days=30)) is None


@pytest.mark.parametrize(
    ("maker", "model", "camera"),
    [
        ("Hillside Works", "HILLSIDE Clay Two", "HILLSIDE Clay Two"),
        ("Hillside Works", "Clay Two", "Hillside Works Clay Two"),
        ("Hillside Works", None, "Hillside Works"),
    ],
)
def test_a_maker_of_two_words_is_known_by_the_first(maker, model, camera):
    plain = Image.Exif()
    plain[0x010F] = maker
    if model:
        plain[0x0110] = model
    assert shot_from_exif(plain).camera == camera


@pytest.mark.parametrize(
    ("name", "field", "least", "most"),
    [
        ("FocalLength", "focal_mm", 1, 5000), ("FocalLengthIn35mmFilm", "focal35_mm", 1, 5000),
        ("FNumber", "aperture", 0.5, 128), (0x829A, "exposure_s", 1e-6, 86400),
        (0x8827, "iso", 1, 10_000_000), ("SubjectDistance", "distance_m", 0.001, 1_000_000),
    ],
)  # fmt: skip
def test_numbers_are_read_from_the_least_to_the_most_that_is_no_absurdity(name, field, least, most):
    for value, read in ((least, least), (most, most), (least * 0.999, None), (most * 1.001, None)):
        stored = IFDRational(Fraction(value).limit_denominator(10**9))
        found = shot_from_exif(exif(own={TAGS.get(name, name): stored}))
        assert getattr(found, field) == (None if read is None else pytest.approx(read))


@pytest.mark.parametrize(("av", "tv"), [(20, 20), (-20, -20), (20.1, 20.1), (-20.1, -20.1), (1, 1)])
def test_apex_values_are_powers_of_two(av, tv):
    """F-number 2^(Av / 2), seconds 2^-Tv: Exif annex C."""
    found = shot(
        ApertureValue=IFDRational(Fraction(av).limit_denominator(10)),
        ShutterSpeedValue=IFDRational(Fraction(tv).limit_denominator(10)),
    )
    sane = abs(av) <= 20
    assert found.aperture == (pytest.approx(2 ** (av / 2)) if sane else None)
    assert found.exposure_s == (pytest.approx(2**-tv) if sane else None)


@pytest.mark.parametrize(
    ("offset", "minutes"),
    [("+14:00", 840), ("-14:00", -840), ("+14:01", None), ("-14:01", None), ("+00:00", 0), ("+05:45", 345)],
)
def test_offsets_end_at_fourteen_hours(offset, minutes):
    """The farthest zone is UTC+14, Kiribati's Line Islands (IANA time zone database)."""
    assert shot(DateTimeOriginal="2026:05:02 09:10:11", OffsetTimeOriginal=offset).utc_offset == minutes
