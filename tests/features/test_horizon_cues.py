"""Cues of lines whose surroundings are known."""

import numpy as np
import pytest

from setsolver.features.horizon_cues import CUES, horizon_cues
from setsolver.features.lines import Line


def halves(above: tuple[float, float, float], below: tuple[float, float, float], at: int = 120) -> np.ndarray:
    """L*a*b* of one colour above another; float32[240, 360, 3]."""
    lab = np.empty((240, 360, 3), np.float32)
    lab[:at], lab[at:] = above, below
    return lab


def line(middle: float = 120.0, slope: float = 0.0, support: float = 0.8) -> Line:
    return Line(middle, slope, support, 0.1, 0.2, 360)


def cue(name: str, lines: list[Line], lab: np.ndarray, likely: float = 0.5) -> float:
    return float(horizon_cues(lines, lab, likely)[0, CUES.index(name)])


def test_contrast_and_the_sky_follow_from_the_two_colours():
    lab = halves((80, 0, -20), (50, 4, 10))
    difference = np.hypot(np.hypot(30, 4), 30)
    assert cue("contrast", [line()], lab) == pytest.approx(difference / (difference + 8))
    assert cue("darker", [line()], lab) == pytest.approx(1.0)
    assert cue("yellower", [line()], lab) == pytest.approx(1.5)


def test_what_the_line_brings_is_passed_on():
    lab, one = halves((80, 0, 0), (50, 0, 0)), line(slope=np.tan(np.radians(-4.5)))
    assert cue("slant", [one], lab) == pytest.approx(0.5)
    assert (cue("support", [one], lab), cue("beside", [one], lab), cue("unsteady", [one], lab)) == (0.8, 0.1, 0.2)


@pytest.mark.parametrize("likely", [0.0, 0.2, 0.5, 1.0])
def test_log_odds_are_finite_and_rise(likely):
    found = cue("likely", [line()], halves((80, 0, 0), (50, 0, 0)), likely)
    inside = min(max(likely, 1e-3), 1 - 1e-3)
    assert found == pytest.approx(np.log(inside / (1 - inside)))


def test_only_higher_lines_count_as_above():
    lab = halves((80, 0, 0), (50, 0, 0))
    assert cue("above", [line(), line(60.0, support=0.9), line(200.0)], lab) == pytest.approx(0.8)
    assert cue("above", [line(60.0), line(120.0)], lab) == 0.0


@pytest.mark.parametrize("middle", [2.0, 238.0, -40.0])
def test_a_line_at_the_border_is_not_judged(middle):
    assert np.isnan(horizon_cues([line(middle)], halves((80, 0, 0), (50, 0, 0)), 0.5)).all()


def test_no_lines_have_no_cues():
    assert horizon_cues([], halves((80, 0, 0), (50, 0, 0)), 0.5).shape == (0, len(CUES))
