"""Names of cameras, and times by what is said of their clocks."""

from datetime import datetime

import pytest

from setsolver.catalog.cameras import UNKNOWN, check_cameras, clocks_of, names_of, with_clock
from setsolver.domain.frame import DAY_IN_NAME, IN_METADATA, Shot
from setsolver.errors import BadInput

AT = datetime(2024, 5, 13, 14, 22, 33)  # noqa: DTZ001 - naive, as Exif
BODIES = [("Clay One", "0042"), ("Clay One", "0077"), ("Clay Two", "1"), ("", "")]


def test_bodies_of_one_model_are_told_apart():
    assert list(names_of(BODIES).values()) == ["Clay One no. 0042", "Clay One no. 0077", "Clay Two", UNKNOWN]


def test_a_word_on_a_body_wins_over_one_on_its_model():
    said = {"Clay One": "+1h", "Clay One no. 0077": "0h", UNKNOWN: "none"}
    assert list(clocks_of(BODIES, said).values()) == ["+1h", "0h", "none"]
    assert clocks_of(BODIES, {}) == {}


def test_an_unknown_camera_is_bad_input_that_names_those_there_are():
    check_cameras(["Clay One", "Clay Two", UNKNOWN], BODIES)
    with pytest.raises(
        BadInput, match=r"no frame is by a camera 'Clay'; cameras here: 'Clay One', .*'Clay Two', 'unknown'"
    ):
        check_cameras(["Clay"], BODIES)
    with pytest.raises(BadInput, match="cameras here: none"):
        check_cameras(["Clay"], [])


def test_times_are_moved_and_say_so():
    shot = with_clock(Shot(time=AT, utc_offset=60, time_from=IN_METADATA), "+1h30m")
    assert (shot.time, shot.utc_offset) == (AT.replace(hour=15, minute=52), 60)
    assert shot.time_from == "metadata, clock +1h30m"
    assert with_clock(shot, None) == shot
    assert with_clock(shot, "0h") == shot
    assert with_clock(Shot(), "+1h") == Shot()


def test_a_clock_that_is_worth_nothing_leaves_no_time():
    assert with_clock(Shot(time=AT, utc_offset=60, time_from=IN_METADATA), "none") == Shot()


def test_a_day_alone_stays_that_day():
    day = Shot(time=AT, time_from=DAY_IN_NAME)
    assert with_clock(day, "+10h") == day
    assert with_clock(day, "none").time is None


def test_out_of_the_calendar_is_bad_input():
    with pytest.raises(BadInput, match="out of the calendar"):
        with_clock(Shot(time=datetime(1, 1, 2)), "-9d")  # noqa: DTZ001 - naive
