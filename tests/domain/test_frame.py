"""What a frame is, of what was measured, what its file says and what the user said: whose word counts."""

from dataclasses import replace
from datetime import datetime

import pytest

from setsolver.domain.frame import DAY_IN_NAME, Shot
from setsolver.domain.measures import Upright
from tests.rules.builders import make_frame, with_measures

NOON = datetime(2026, 5, 2, 12, 0, 30)  # noqa: DTZ001 - capture times are naive local times


def test_a_time_of_which_only_the_day_is_known_is_no_instant():
    whole, day = Shot(time=NOON), Shot(time=NOON, time_from=DAY_IN_NAME)
    assert (whole.taken, day.taken) == ("2026-05-02T12:00:30", "2026-05-02")
    assert whole.instant == whole.day_or_instant == pytest.approx(1_777_723_230)  # by date -u -d
    assert day.instant is None
    assert day.day_or_instant is not None
    assert Shot(time=NOON, utc_offset=120).instant == pytest.approx(whole.instant - 7200)
    assert (Shot().taken, Shot().instant) == (None, None)


def test_exposure_needs_all_three_numbers():
    # EV at ISO 100 of f/8, 1/125 s is 12.97 (log2(64 * 125)); two stops more light at ISO 400
    known = {"aperture": 8.0, "exposure_s": 1 / 125, "iso": 400}
    assert Shot(**known).light == pytest.approx(12.966 - 2, abs=1e-3)
    for name in known:
        assert Shot(**known | {name: None}).light is None


def test_a_turn_that_was_said_wins_over_what_is_measured():
    plain = make_frame(0)
    assert plain.upright is None
    measured = with_measures(plain, upright=Upright(90, 0.9))
    assert measured.upright == 90
    assert replace(measured, turn=180).upright == 0
    assert replace(measured, turn=0).upright == 0


@pytest.mark.parametrize(
    ("stars", "rating", "given"),
    [(None, None, None), (None, 3.0, 3.0), (None, 0.0, None), (0.0, 3.0, 0.0), (5.0, None, 5.0)],
)
def test_stars_said_here_win_and_a_rating_of_0_is_none(stars, rating, given):
    assert replace(make_frame(0, rating=rating), stars=stars).given_stars == given


def test_the_scale_that_was_said_is_sure():
    assert make_frame(0, "wide").odds.wide == pytest.approx(0.94)
    said = make_frame(0, "wide", said="close").odds
    assert (said.wide, said.medium, said.close) == (0.0, 0.0, 1.0)


def test_the_aspect_is_width_over_height():
    assert make_frame(0, size=(6000, 4000)).aspect == 1.5
