"""Cues of lines whose surroundings are known."""

import numpy as np
import pytest

from setsolver.features.crossing import along, share_crossed
from setsolver.features.ground import agreement, best_agreement, share_above
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


@pytest.mark.parametrize("slope", [0.0, 0.11, -0.2])
def test_darker_is_the_difference_of_means_along_the_line_by_loops(slope):
    """Every twelfth column from the sixth; three pixels either side of the line; a twentieth of the height left out."""
    lab = np.random.default_rng(3).uniform(0, 100, (240, 360, 3)).astype(np.float32)
    for middle in (14.0, 70.5, 118.0, 222.0):
        differences = []
        for column in range(6, 360, 12):
            at = middle + slope * (column - 179.5)
            if 12 < at < 228:
                above = lab[: round(at - 3), column, 0].mean()
                differences.append(above - lab[round(at + 3) :, column, 0].mean())
        expected = np.mean(differences) / 30 if len(differences) >= 15 else np.nan
        assert cue("darker", [line(middle, slope)], lab) == pytest.approx(expected, abs=1e-5, nan_ok=True)


@pytest.mark.parametrize(("inside", "judged"), [(15, True), (14, False)])
def test_a_line_of_which_half_lies_inside_is_judged(inside, judged):
    """Thirty columns are looked at; the line enters the picture so that so many of them count."""
    slope, edge = 1.0, 12.0
    column = 6 + 12 * (30 - inside) - 6  # where it passes the border's edge, between two columns that are looked at
    middle = edge - slope * (column - 179.5)
    lab = np.full((2000, 360, 3), 50, np.float32)
    wide = line(middle + 0.04 * 2000 + 8, slope)  # a twentieth of 2,000 is 100
    assert np.isfinite(cue("darker", [wide], lab)) == judged


@pytest.mark.parametrize(("apart", "counts"), [(9.5, False), (9.7, True)])
def test_a_rival_lies_higher_by_a_twenty_fifth_of_the_height(apart, counts):
    lines = [line(120.0), Line(120.0 - apart, 0.0, 0.9, 0.3, 0.2, 1.3, 0.4, 360)]
    assert cue("above", lines, halves((80, 0, 0), (50, 0, 0))) == pytest.approx(0.6 if counts else 0)


def test_rises_are_shares_of_the_height_and_unsteadiness_ends_at_one():
    lab, above = halves((80, 0, 0), (50, 0, 0)), 0.1 + 0.8 * share_above(0.4, 0.15, (7, 7))
    slanted = Line(96.0, 0.1, 0.8, 0.1, 2.5, 1.3, 0.4, 360)  # rises by 36 of 240 rows
    assert cue("parted", [slanted], lab, above=above) == pytest.approx(agreement(above, 0.4, 0.15))
    assert cue("behind", [slanted], lab, above=above) == pytest.approx(
        agreement(above, 0.4, 0.15) - best_agreement(above)
    )
    assert cue("unsteady", [slanted], lab) == 1.0
    crossing = -5 + 7 * share_crossed(0.4, 0.15, (14, 14))
    assert horizon_cues([slanted], lab, 0.5, above, crossing)[0, -2:] == pytest.approx(along(crossing, 0.4, 0.15))


def test_in_a_low_picture_a_line_near_its_top_has_the_first_row_above_it():
    """By hand: of 40 rows the line at 2.4 is inside; three rows above it would be none."""
    lab = np.zeros((40, 360, 3), np.float32)
    lab[0], lab[1:5], lab[5:] = 90, 33, 30
    assert cue("darker", [line(2.4)], lab) == pytest.approx((90 - 30) / 30)
    assert cue("darker", [line(37.6)], lab[::-1]) == pytest.approx((30 - 90) / 30)
