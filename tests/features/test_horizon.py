"""Tilt of painted horizons, and no answer where there is none."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from setsolver.domain.measures import Tilt
from setsolver.features.attention import Glance, glance
from setsolver.features.clip import seen_by_clip
from setsolver.features.crossing import crossing_by_clip, share_crossed
from setsolver.features.ground import above_ground, above_ground_by_clip, share_above
from setsolver.features.horizon import (
    ALONE,
    WITH_CLIP,
    choose_horizon,
    chosen_line,
    find_tilt,
    least_confidence,
    stated_tilt,
)
from setsolver.features.horizon_cues import CLIP_CUES, CUES
from setsolver.features.lines import Line
from setsolver.features.models import ClipSeen
from setsolver.features.sight import FEATURES, Sight
from setsolver.features.views import make_views, views_of

SEA = 0.05 + 0.9 * share_above(0.45, 0.0, (7, 7))
"""Chances that places lie above the horizon of a seascape."""
NOTHING = np.full((7, 7), 0.5)
SEAM = -5 + 7 * share_crossed(0.45, 0.0, (14, 14))
"""Log odds that it crosses places, as CLIP tells them."""


@pytest.mark.parametrize("tilt", [-6.0, -3.3, -0.7, 0.0, 0.4, 2.5, 7.0])
@pytest.mark.parametrize("size", [(960, 640), (640, 960)])
def test_a_painted_horizon_is_found_to_a_third_of_a_degree(seascape, tilt, size):
    found = find_tilt(make_views(seascape(tilt, size)), 1.0, SEA)
    assert found.degrees == pytest.approx(tilt, abs=0.3)
    assert found.horizon == pytest.approx(0.45, abs=0.01)
    assert found.confidence > 0.5


def test_the_mirror_image_tilts_the_other_way(seascape):
    rgb = seascape(2.0)
    one, other = (find_tilt(make_views(view), 1.0, SEA).degrees for view in (rgb, rgb[:, ::-1]))
    assert other == pytest.approx(-one, abs=0.1)


@pytest.mark.parametrize("seed", range(4))
def test_noise_and_flat_tones_have_no_horizon(seed):
    noise = np.random.default_rng(seed).integers(0, 256, (480, 640, 3), dtype=np.uint8)
    assert find_tilt(make_views(noise), 1.0, NOTHING).degrees is None
    assert find_tilt(make_views(np.full((480, 640, 3), 40 * seed, np.uint8)), 1.0, NOTHING).degrees is None


def test_where_the_content_makes_a_horizon_unlikely_none_is_stated(seascape):
    views = make_views(seascape(1.0))
    sure, doubted, ruled_out = (find_tilt(views, likely, SEA) for likely in (1.0, 0.1, ALONE.least_odds - 0.01))
    assert doubted.confidence < sure.confidence
    assert ruled_out == Tilt(None, 0.0, None)


def test_a_line_with_the_sky_below_it_is_doubted(seascape):
    views = make_views(seascape(1.0))
    sure, unsure, upside_down = (find_tilt(views, 0.5, above) for above in (SEA, NOTHING, SEA[::-1]))
    assert upside_down.degrees is None
    assert upside_down.confidence < unsure.confidence < sure.confidence


def test_more_is_asked_for_of_a_larger_tilt(seascape):
    plain = np.append(np.zeros(len(CUES)), 0.0)
    assert least_confidence(1.0) == least_confidence(0.0) < least_confidence(-2.0) < least_confidence(3.0)
    for tilt in (1.0, 2.0, -6.0):
        most = least_confidence(tilt)
        views = make_views(seascape(tilt))
        judges = [ALONE._replace(weights=plain + np.append([30.0, *np.zeros(len(CUES) - 1)], bias - 27.0))
                  for bias in np.linspace(-8, 8, 33)]  # fmt: skip
        chances = [(find_tilt(views, 1.0, SEA, judge=judge), judge) for judge in judges]
        stated = [found.confidence for found, _ in chances if found.degrees is not None]
        silent = [found.confidence for found, _ in chances if found.degrees is None]
        assert max(silent) < most + 0.02
        assert most - 0.02 < min(stated)


def test_a_second_line_above_makes_the_lower_one_doubtful(seascape):
    rgb = seascape(0.0)
    slanted = seascape(6.0)[: rgb.shape[0] // 2]
    crossed = np.concatenate([slanted, rgb[rgb.shape[0] // 4 : -rgb.shape[0] // 4]])
    assert find_tilt(make_views(crossed), 0.5, SEA).confidence < find_tilt(make_views(rgb), 0.5, SEA).confidence - 0.1


@pytest.mark.parametrize("tilt", [-4.0, -0.8, 0.3, 2.0])
def test_a_horizon_in_haze_is_found(seascape, tilt):
    rgb = seascape(tilt).astype(float)
    hazy = np.clip(190 + 0.12 * (rgb - 190), 0, 255).astype(np.uint8)
    assert find_tilt(make_views(hazy), 0.9, SEA).degrees == pytest.approx(tilt, abs=0.3)


@pytest.mark.parametrize("tilt", [-3.0, 1.2])
def test_a_horizon_broken_by_posts_and_a_headland_is_found(seascape, tilt):
    rgb = seascape(tilt)
    for left in range(40, 900, 110):
        rgb[200:500, left : left + 22] = 40
    y, x = np.mgrid[:640, :960]
    rgb[y > 430 - 0.9 * (x - 620)] = (60, 80, 50)
    assert find_tilt(make_views(rgb), 0.9, SEA).degrees == pytest.approx(tilt, abs=0.3)


def forest(seed: int) -> np.ndarray:
    """Trunks of random width and tone with leaves over them."""
    random = np.random.default_rng(seed)
    trunks = np.repeat(random.uniform(20, 120, 60), random.integers(6, 40, 60))[:960]
    leaves = cv2.GaussianBlur(random.normal(0, 90, (640, 960)), (0, 0), 2.5)
    grey = np.pad(trunks, (0, 960 - len(trunks)), mode="edge")[None] + leaves + 30
    return np.clip(grey[..., None] * (0.7, 1.0, 0.6), 0, 255).astype(np.uint8)


@pytest.mark.parametrize("seed", range(5))
def test_a_forest_has_no_horizon_even_where_one_is_likely(seed):
    assert find_tilt(make_views(forest(seed)), 0.9, NOTHING).degrees is None


@pytest.mark.parametrize("seed", range(5))
def test_a_rough_ridge_has_no_tilt(seed):
    random = np.random.default_rng(seed)
    height = np.interp(np.arange(960), np.linspace(0, 959, 9), random.uniform(150, 450, 9))
    below = np.clip(np.arange(640)[:, None] - height[None] + 0.5, 0, 1)
    grey = 210 * (1 - below) + 70 * below + random.normal(0, 2, (640, 960))
    rgb = np.clip(grey[..., None] * (0.95, 1.0, 1.05), 0, 255).astype(np.uint8)
    assert find_tilt(make_views(rgb), 0.9, SEA).degrees is None


@pytest.mark.parametrize("slant", [0.0, 0.1, 0.3])
def test_a_sky_that_fades_has_no_horizon(slant):
    y, x = np.mgrid[:640, :960]
    grey = np.clip(90 + (y + slant * x) / 6, 0, 255)
    rgb = np.clip(grey[..., None] * (0.8, 0.95, 1.1), 0, 255).astype(np.uint8)
    assert find_tilt(make_views(rgb), 0.9, SEA).degrees is None


def test_equal_lines_that_contradict_each_other_share_the_chance_and_those_that_agree_add_theirs():
    weights = np.array([1.0, 2.0])
    cues = np.array([[3.0], [3.0]])
    _, apart = choose_horizon(cues, np.array([0.0, 4.0]), weights)
    best, together = choose_horizon(cues, np.array([0.0, 0.1]), weights)
    none = 1 / (1 + 2 * np.exp(5))
    assert apart == pytest.approx((1 - none) / 2)
    assert together == pytest.approx(1 - none)
    assert best == 0


def test_lines_that_cannot_be_judged_never_win():
    weights = np.array([1.0, 0.0])
    assert choose_horizon(np.zeros((0, 1)), np.zeros(0), weights) == (None, 0.0)
    assert choose_horizon(np.array([[np.nan]]), np.zeros(1), weights) == (None, 0.0)
    best, chance = choose_horizon(np.array([[np.nan], [2.0]]), np.array([0.0, 9.0]), weights)
    assert best == 1
    assert chance == pytest.approx(np.exp(2) / (1 + np.exp(2)))


@pytest.mark.slow
@pytest.mark.parametrize("turn", [-2.5, 1.0])
def test_a_turned_picture_turns_the_tilt_by_as_much(seascape, turn):
    rgb = seascape(0.7)
    matrix = cv2.getRotationMatrix2D(((960 - 1) / 2, (640 - 1) / 2), -turn, 1.0)
    whole = cv2.warpAffine(rgb, matrix, (960, 640), flags=cv2.INTER_CUBIC)
    inside = np.ascontiguousarray(whole[60:-60, 60:-60])
    before, after = (find_tilt(make_views(view), 0.9, SEA).degrees for view in (rgb, inside))
    assert after - before == pytest.approx(turn, abs=0.15)


@pytest.mark.parametrize("tilt", [-3.3, 0.0, 1.0])
def test_a_horizon_is_found_where_clip_sees_one_and_doubted_where_it_sees_none(seascape, tilt):
    views, above = make_views(seascape(tilt)), 0.05 + 0.9 * share_above(0.45, 0.0, (14, 14))
    sure, doubted = (find_tilt(views, 0.5, above, crossing) for crossing in (SEAM, np.full((14, 14), -5.0)))
    assert sure.degrees == pytest.approx(tilt, abs=0.3)
    assert doubted.confidence < sure.confidence


def test_each_judge_weighs_the_cues_that_it_is_given():
    assert len(ALONE.weights) == len(CUES) + 1
    assert len(WITH_CLIP.weights) == len(CUES) + len(CLIP_CUES) + 1


def test_a_wavy_edge_competes_or_leaves_the_contest_to_a_steady_one():
    wavy, steady = (Line(240, 0.0, 0.9, 0.1, unsteady, 0.5, 0.2, 640) for unsteady in (1.0, 0.1))
    cues = np.array([[3.0], [1.0]])
    judge = ALONE._replace(weights=np.array([1.0, 0.0]))
    assert chosen_line([wavy, steady], cues, judge._replace(waves=True))[0] == 0
    best, chance = chosen_line([wavy, steady], cues, judge._replace(waves=False))
    assert best == 1
    assert chance == pytest.approx(np.e / (1 + np.e))
    assert np.isfinite(cues).all()


@pytest.mark.parametrize(
    ("degrees", "alone", "with_clip"),
    [(0.0, 0.35, 0.2), (1.2, 0.35, 0.2), (-1.6, 0.45, 0.5), (2.1, 0.575, 0.8), (-3.0, 0.8, 0.8), (14.0, 0.8, 0.8)],
)
def test_how_sure_a_tilt_must_be_by_hand(degrees, alone, with_clip):
    assert least_confidence(degrees, ALONE) == pytest.approx(alone)
    assert least_confidence(degrees, WITH_CLIP) == pytest.approx(with_clip)


def one_line(degrees: float = 1.0, unsteady: float = 0.1, middle: float = 120.0) -> Line:
    return Line(middle, float(np.tan(np.radians(degrees))), 0.9, 0.1, unsteady, 0.5, 0.2, 640)


def test_a_tilt_is_stated_from_its_least_confidence_on_and_with_the_height_of_its_line():
    lines = [one_line(7.0), one_line(1.0)]
    assert stated_tilt(lines, 480, (1, 0.35), ALONE) == pytest.approx(Tilt(1.0, 0.35, 0.25))
    assert stated_tilt(lines, 480, (1, 0.3499), ALONE) == Tilt(None, 0.3499, None)
    assert stated_tilt(lines, 480, (0, 0.79), ALONE) == Tilt(None, 0.79, None)
    assert stated_tilt(lines, 480, (None, 0.9), ALONE) == Tilt(None, 0.0, None)


@pytest.mark.parametrize(("unsteady", "stated"), [(0.35, True), (0.36, False)])
def test_an_edge_that_has_no_one_angle_is_not_stated(unsteady, stated):
    assert (stated_tilt([one_line(unsteady=unsteady)], 480, (0, 0.9), ALONE).degrees is not None) == stated
    cues = np.array([[3.0], [1.0]])
    judge = ALONE._replace(weights=np.array([1.0, 0.0]), waves=False)
    best, _ = chosen_line([one_line(unsteady=unsteady), one_line(4.0)], cues, judge)
    assert best == (0 if stated else 1)


@pytest.mark.parametrize("seed", range(5))
def test_the_chance_of_a_line_is_the_conditional_logit(seed):
    """McFadden (1974), written out: exp(s_k) / (1 + sum exp(s)); lines within 0.3 degrees speak for each other."""
    random = np.random.default_rng(seed)
    cues, weights = random.normal(0, 1, (5, 3)), random.normal(0, 1, 4)
    cues[3, 1] = np.nan
    degrees = np.array([1.0, 1.29, 5.0, 1.0, 0.69])
    scores = [sum(w * c for w, c in zip(weights[:3], row, strict=True)) + weights[3] for row in cues]
    raised = [0.0 if np.isnan(score) else np.exp(score) for score in scores]
    best = int(np.argmax(raised))
    near = [k for k in range(5) if abs(degrees[k] - degrees[best]) < 0.3]
    found = choose_horizon(cues, degrees, weights)
    assert found == (best, pytest.approx(sum(raised[k] for k in near) / (1 + sum(raised))))


@pytest.mark.parametrize(("score", "chance"), [(900.0, 1.0), (-900.0, 0.0)])
def test_scores_of_any_size_have_a_chance(score, chance):
    with np.errstate(all="raise", under="ignore"):
        assert choose_horizon(np.array([[score]]), np.zeros(1), np.array([1.0, 0.0])) == (0, pytest.approx(chance))


def test_from_the_least_odds_on_a_line_is_looked_for(seascape):
    views = make_views(seascape(1.0))
    for least, crossing in ((0.125, None), (0.01, SEAM)):
        above = SEA if crossing is None else 0.05 + 0.9 * share_above(0.45, 0.0, (14, 14))
        assert find_tilt(views, least, above, crossing).confidence > 0
        assert find_tilt(views, least - 1e-9, above, crossing) == Tilt(None, 0.0, None)


def test_a_frames_tilt_is_told_by_the_second_class_of_its_head_and_by_what_has_looked(seascape, models):
    """Of (no horizon, a horizon) the second; by CLIP's places where it has looked, else by the small network's."""

    class Head:
        def odds(self, embeddings):
            assert embeddings.shape == (1, 1280)
            return np.array([[0.3, 0.7]])

    rgb = seascape(1.5)
    random = np.random.default_rng(0)
    seen = ClipSeen(
        np.zeros(512), random.normal(0, 1, (14, 14, 768)).astype(np.float32), np.zeros((3, 768)), np.zeros(2)
    )
    glanced = Glance(np.zeros(1280), np.zeros((7, 7)), random.normal(0, 1, (192, 7, 7)).astype(np.float32))
    for clip in (None, "looked"):
        sight = Sight(rgb, replace(models, horizon=Head()), {"embedding": np.zeros(1280), "clip": clip})
        sight._made |= {seen_by_clip: seen, glance: glanced}
        asked = (above_ground(glanced.before),) if clip is None else (
            above_ground_by_clip(seen.places), crossing_by_clip(seen.places))  # fmt: skip
        expected = find_tilt(sight.once(views_of), 0.7, *asked)
        assert FEATURES["tilt"](sight) == expected
        assert expected.confidence > 0
        assert expected != find_tilt(sight.once(views_of), 0.3, *asked)
