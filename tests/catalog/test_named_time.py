"""Times that stand in file names; the patterns are common practice of cameras and telephones, no source."""

from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setsolver.catalog.named_time import with_named_time
from setsolver.domain.frame import DAY_IN_NAME, IN_METADATA, IN_NAME, Shot

AT = datetime(2024, 5, 13, 14, 22, 33)  # noqa: DTZ001 - naive, as Exif
TO_THE_SECOND = [
    "IMG_20240513_142233.jpg",
    "VID_20240513_142233.JPG",
    "20240513_142233.heic",
    "20240513-142233.jpg",
    "20240513142233.jpg",
    "20240513T142233.jpg",
    "2024-05-13 14.22.33.jpg",
    "2024-05-13_14-22-33.png",
    "2024-05-13-142233.jpg",
    "2024_05_13_14_22_33.jpg",
    "kiln 2024-05-13 at 14.22.33.png",
    "IMG_20240513_142233_2.jpg",
    "IMG_20240513_142233(1).jpg",
    "kiln/opening.2019-01-01/IMG_20240513_142233.jpg",
    "12345678_20240513_142233.jpg",
]


@pytest.mark.parametrize("path", TO_THE_SECOND)
def test_a_time_in_the_name(path):
    shot = with_named_time(Shot(), path)
    assert (shot.time, shot.utc_offset, shot.time_from) == (AT, None, IN_NAME)
    assert shot.instant == AT.timestamp() - datetime(1970, 1, 1).timestamp()  # noqa: DTZ001 - both naive


@pytest.mark.parametrize("path", ["IMG_20240513_142233123.jpg", "20240513142233123.jpg", "IMG_20240513_142233_123.jpg"])
def test_thousandths(path):
    assert with_named_time(Shot(), path).time == AT.replace(microsecond=123_000)


def test_telephones_that_write_utc_into_names():
    shot = with_named_time(Shot(), "PXL_20240513_142233123.jpg")
    assert (shot.time, shot.utc_offset) == (AT.replace(microsecond=123_000), 0)


DAYS = [
    "IMG-20240513-WA0007.jpg",
    "20240513-WA0007.jpg",
    "2024-05-13 kiln.jpg",
    "20240513.jpg",
    "20240513_0004.jpg",
    "kiln_2024.05.13.jpg",
    "20240513_256199.jpg",  # 25 hours: a number
    "20240513_1422331234567.jpg",
]


@pytest.mark.parametrize("path", DAYS)
def test_a_day_in_the_name_is_no_time_of_day(path):
    shot = with_named_time(Shot(), path)
    assert (shot.time, shot.time_from) == (AT.replace(hour=0, minute=0, second=0), DAY_IN_NAME)
    assert shot.instant is None


NOTHING = [
    "DSC01234.jpg",
    "P1050513.jpg",
    "IMG_0513.jpg",
    "jar.jpg",
    "20241313_142233.jpg",  # a 13th month
    "20240230_142233.jpg",  # the 30th of February
    "18240513_142233.jpg",
    "19240513_142233.jpg",  # no camera named files then
    "20990513_142233.jpg",  # ahead of today
    "1715610153123.jpg",
    "920240513_142233.jpg",
    "202405131.jpg",
    "2024-05.13.jpg",
    "2024-05-13/jar.jpg",
    "",
]


@pytest.mark.parametrize("path", NOTHING)
def test_absurd_dates_and_plain_numbers_give_nothing(path):
    assert with_named_time(Shot(), path) == Shot()


def test_an_absurd_date_hides_no_sound_one():
    assert with_named_time(Shot(), "20241313 20240513_142233.jpg").time == AT


def test_metadata_is_trusted_more():
    other = datetime(2023, 1, 2, 3, 4, 5)  # noqa: DTZ001 - naive
    shot = with_named_time(Shot(time=other, utc_offset=60), "IMG_20240513_142233.jpg")
    assert (shot.time, shot.utc_offset, shot.time_from) == (other, 60, IN_METADATA)


@given(st.text(max_size=60))
def test_any_name_is_read_or_left(name):
    shot = with_named_time(Shot(), name)
    assert (shot.time is None) == (shot.time_from == "")


@given(st.datetimes(datetime(1990, 1, 1), datetime(2026, 1, 1)))  # noqa: DTZ001 - naive
def test_every_time_that_a_camera_writes_comes_back(time):
    assert with_named_time(Shot(), f"IMG_{time:%Y%m%d_%H%M%S}.jpg").time == time.replace(microsecond=0)
