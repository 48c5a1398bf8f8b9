"""Cues of lines whose surroundings are known."""

import numpy as np
import pytest

from setsolver.features.crossing import along, share_crossed
from setsolver.features.ground import share_above
from setsolver.features.horizon_cues import CLIP_CUES, CUES, horizon_cues
from setsolver.features.lines import Line

NOTHING = np.full((7, 7), 0.5)
"""Chances of places that say nothing."""


def halves(above: tuple[float, float, float], below: tuple[float, float, float], at: int = 120) -> np.ndarray:
    """L*a*b* of one colour above another; float32[240, 360, 3]."""
    lab = np.empty((240, 360, 3), np.float32)
    lab[:at], lab[at:] = above, below
    return lab


def line(middle: float = 120.0, slope: float = 0.0, support: float = 0.8) -> Line:
    return Line(middle, slope, support, 0.1, 0.2, 1.3, 0.4, 360)


def cue(name: str, lines: list[Line], lab: np.ndarray, likely: float = 0.5, above: np.ndarray = NOTHING) -> float:
    return float(horizon_cues(lines, lab, likely, above)[0, CUES.index(name)])


@pytest.mark.parametrize("at", [60, 120, 190])
def test_how_much_darker_the_lower_part_is_follows_from_the_two_tones(at):
    lab = halves((80, 0, -20), (50, 4, 10), at)
    assert cue("darker", [line(float(at))], lab) == pytest.approx(1.0)
    assert cue("darker", [line(float(at))], lab[..., :1] * -1) == pytest.approx(-1.0)


def test_what_the_line_brings_is_passed_on():
    lab, one = halves((80, 0, 0), (50, 0, 0)), line()
    found = [cue(name, [one], lab) for name in ("support", "unsteady", "rough", "uneven")]
    assert found == [0.8, 0.2, 1.3, 0.4]


def test_the_line_that_parts_the_places_is_told_from_others():
    lab, above = halves((80, 0, 0), (50, 0, 0)), 0.1 + 0.8 * share_above(0.5, 0.0, (7, 7))
    right, low, slanted = line(), line(180.0), line(slope=np.tan(np.radians(12)))
    for name in ("parted", "behind"):
        found = [cue(name, [one], lab, above=above) for one in (right, low, slanted)]
        assert found[0] > max(found[1:])
    assert cue("behind", [right], lab, above=above) == pytest.approx(0.0, abs=0.02)


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
    assert np.isnan(horizon_cues([line(middle)], halves((80, 0, 0), (50, 0, 0)), 0.5, NOTHING)).all()


def test_no_lines_have_no_cues():
    assert horizon_cues([], halves((80, 0, 0), (50, 0, 0)), 0.5, NOTHING).shape == (0, len(CUES))


def test_what_clip_says_along_the_line_is_added_where_it_is_given():
    lab, crossing = halves((80, 0, 0), (50, 0, 0)), -5 + 7 * share_crossed(0.5, 0.0, (14, 14))
    lines = [line(), line(190.0)]
    plain, seen = horizon_cues(lines, lab, 0.5, NOTHING), horizon_cues(lines, lab, 0.5, NOTHING, crossing)
    assert (seen[:, : len(CUES)] == plain).all()
    assert seen[0, len(CUES) :] == pytest.approx(along(crossing, 0.5, 0.0))
    assert (seen[0, len(CUES) :] > seen[1, len(CUES) :]).all()
    assert horizon_cues([], lab, 0.5, NOTHING, crossing).shape == (0, len(CUES) + len(CLIP_CUES))
