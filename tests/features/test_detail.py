"""Sharpness, motion and grain of pictures blurred and grained by known amounts."""

from itertools import pairwise
from types import SimpleNamespace

import cv2
import numpy as np
import pytest

from setsolver.domain.geometry import WHOLE, Box
from setsolver.features import detail as module
from setsolver.features.detail import measure_detail, sharpness_in, sharpness_tiles
from setsolver.features.edges import BlurMap
from setsolver.features.grain import measure_noise


def patches(seed: int = 0, size: tuple[int, int] = (640, 960)) -> np.ndarray:
    """Overlapping discs of even greys: edges of every direction, anti-aliased; float32 0 to 255."""
    random = np.random.default_rng(seed)
    canvas = np.full((size[0] * 2, size[1] * 2), 128, np.float32)
    for _ in range(400):
        centre = (int(random.integers(0, size[1] * 2)), int(random.integers(0, size[0] * 2)))
        cv2.circle(canvas, centre, int(random.integers(20, 120)), float(random.uniform(20, 235)), -1)
    return cv2.resize(canvas, size[::-1], interpolation=cv2.INTER_AREA)


def codes(grey: np.ndarray) -> np.ndarray:
    return np.clip(np.rint(grey), 0, 255).astype(np.uint8)


def detail_of(grey: np.ndarray, subject: Box = WHOLE):
    noise = measure_noise(codes(grey))
    edges = BlurMap(codes(grey), noise.codes)
    return measure_detail(edges, sharpness_tiles(edges), subject, noise.lightness)


@pytest.mark.parametrize("blur", [1.0, 1.5, 2.0])
def test_the_blur_of_edges_is_measured_in_pixels(blur):
    edges = BlurMap(codes(cv2.GaussianBlur(patches(), (0, 0), blur)))
    assert np.median(edges.blur) == pytest.approx(np.hypot(blur, 0.4), rel=0.25)  # 0.4: area averaging and Sobel


def test_sharpness_falls_with_blur():
    found = [detail_of(patches()).sharpness]
    found += [detail_of(cv2.GaussianBlur(patches(), (0, 0), blur)).sharpness for blur in (0.6, 1.0, 2.0)]
    assert found[0] > 0.65  # area averaging without sharpening leaves 0.7 pixels
    assert all(before > after + 0.08 for before, after in pairwise(found))


def test_shallow_focus_is_no_fault():
    soft = cv2.GaussianBlur(patches(), (0, 0), 5)
    soft[200:440, 300:660] = patches()[200:440, 300:660]
    edges, subject = BlurMap(codes(soft)), Box(0.3, 0.3, 0.4, 0.4)
    detail = detail_of(soft, subject)
    assert detail.sharpness > 0.65
    assert detail.motion < 0.2
    assert sharpness_in(edges, subject) > 0.65 > sharpness_in(edges, Box(0, 0, 0.25, 0.25))


@pytest.mark.parametrize("length", [9, 15])
@pytest.mark.parametrize("upright", [False, True])
def test_motion_has_one_direction_and_defocus_has_none(length, upright):
    kernel = np.full((1, length), 1 / length, np.float32)
    moved = detail_of(cv2.filter2D(patches(), -1, kernel.T if upright else kernel)).motion
    assert moved > 0.3
    assert moved > 2 * detail_of(cv2.GaussianBlur(patches(), (0, 0), length / 4)).motion


@pytest.mark.parametrize("deviation", [1.0, 2.0, 4.0])
def test_grain_is_the_noise_in_lightness(deviation):
    noise = np.random.default_rng(1).normal(0, deviation, (640, 960))
    found = measure_noise(codes(np.full((640, 960), 119.0) + noise))
    assert found.codes == pytest.approx(deviation, rel=0.2)
    assert found.lightness == pytest.approx(deviation * 0.392, rel=0.2)  # code 119 is L* 50; a code there is 0.392 L*


def test_a_scene_of_beams_and_posts_still_tells_motion():
    beams = np.full((640, 960), 90, np.float32)
    for at in range(40, 600, 80):
        beams[at : at + 30] = 160
        beams[:, at + 100 : at + 130] = 40
    beams = cv2.warpAffine(beams, cv2.getRotationMatrix2D((480, 320), 4, 1), (960, 640), borderMode=cv2.BORDER_REFLECT)
    beams += cv2.GaussianBlur(np.random.default_rng(0).normal(0, 60, beams.shape), (0, 0), 2)
    moved = detail_of(cv2.filter2D(beams, -1, np.full((1, 11), 1 / 11, np.float32))).motion
    assert moved > 0.4
    assert moved > 4 * detail_of(cv2.GaussianBlur(beams, (0, 0), 2.5)).motion


@pytest.mark.parametrize(("deviation", "gain"), [(4.0, 0.08), (10.0, 0.2)])
def test_noise_makes_no_soft_picture_sharp(deviation, gain):
    soft = cv2.GaussianBlur(patches(), (0, 0), 1.2)
    noisy = soft + np.random.default_rng(2).normal(0, deviation, soft.shape)
    assert detail_of(noisy).sharpness < detail_of(soft).sharpness + gain


def test_edges_are_not_grain():
    assert measure_noise(codes(patches())).lightness < 0.2


def test_a_flat_picture_has_no_detail():
    detail = detail_of(np.full((64, 64), 90.0))
    assert (detail.sharpness, detail.motion, detail.grain) == (0, 0, 0)
    assert not detail.tiles.any()


def test_grain_of_wood_that_runs_one_way_is_no_motion():
    run = cv2.GaussianBlur(np.random.default_rng(4).normal(0, 1, (1400, 1400)).astype(np.float32), (0, 0), 60, sigmaY=4)
    run = cv2.warpAffine(run / run.std(), cv2.getRotationMatrix2D((700, 700), 25, 1), (1400, 1400))[380:1020, 220:1180]
    things = cv2.GaussianBlur(patches(7), (0, 0), 0.35)
    assert detail_of(things * 0.5 + 64 + 80 * run).motion < 0.35  # 0.48 by the median edge of each direction alone


def test_a_subject_without_edges_is_not_soft():
    grey = patches()
    grey[160:480, 240:720] = 128
    empty = Box(0.35, 0.35, 0.3, 0.3)
    best = detail_of(grey, empty)
    top = np.sort(best.tiles.ravel())[-4:].mean()
    assert sharpness_in(BlurMap(codes(grey)), empty) == 0
    assert best.sharpness == pytest.approx(0.75 * top, rel=1e-6)


@pytest.mark.parametrize(("most", "moves"), [(0.9, False), (1.1, True), (1.6, True)])
def test_only_what_blurs_by_more_than_a_pixel_is_motion(most, moves):
    # squared blur by direction is mean + swing cos 2a: the largest is ``most`` squared
    angle = (np.arange(1200, dtype=np.float32) + 0.5) * np.float32(np.pi / 1200)
    square = most**2 * (0.6 + 0.4 * np.cos(2 * angle))
    edges = SimpleNamespace(angle=angle, blur=np.sqrt(square).astype(np.float32))
    assert (module._motion(edges) > 0.3) == moves


def some_edges(seed: int, count: int = 900) -> SimpleNamespace:
    """Blurred edges anywhere in a preview of 96 x 160, of some directions more than of others."""
    random = np.random.default_rng(seed)
    angle = (random.beta(1.3, 2.5, count) * np.pi).astype(np.float32)
    blur = np.minimum(np.abs(random.normal(0.4, 1.2, count) * (1.4 + np.cos(2 * angle))) + 0.2, 7).astype(np.float32)
    return SimpleNamespace(rows=random.integers(0, 96, count), columns=(random.beta(1, 2, count) * 160).astype(int),
                           blur=blur, angle=angle, shape=(96, 160))  # fmt: skip


def sharp(blur: float) -> float:
    """Return what an edge's blur is worth: one half at 1.1 pixels."""
    return 1 / (1 + (blur / 1.1) ** 2)


@pytest.mark.parametrize("seed", range(4))
def test_a_tile_is_as_sharp_as_the_edge_at_the_end_of_its_first_quarter(seed):
    edges = some_edges(seed)
    found = sharpness_tiles(edges)
    for row in range(8):
        for column in range(8):
            inside = (edges.rows // 12 == row) & (edges.columns // 20 == column)
            blur = np.sort(edges.blur[inside])
            expected = sharp(float(blur[len(blur) // 4])) if len(blur) >= 12 else 0
            assert found[row, column] == pytest.approx(expected, abs=1e-6)
    assert 0 < np.count_nonzero(found) < 64


@pytest.mark.parametrize(("count", "told"), [(11, False), (12, True)])
def test_a_tile_and_a_box_are_judged_by_twelve_edges_and_no_fewer(count, told):
    edges = SimpleNamespace(rows=np.full(count, 50), columns=np.full(count, 30), shape=(96, 160),
                            blur=np.full(count, 1.1, np.float32), angle=np.zeros(count, np.float32))  # fmt: skip
    assert sharpness_tiles(edges).max() == pytest.approx(0.5 if told else 0)
    assert sharpness_in(edges, WHOLE) == pytest.approx(0.5 if told else 0)


def test_a_box_holds_the_edges_from_its_first_pixel_to_before_its_end():
    rows, columns = (part.ravel() for part in np.mgrid[:96, :160])
    blur = np.where((rows >= 24) & (rows < 48) & (columns >= 40) & (columns < 80), 1.1, 3.3).astype(np.float32)
    edges = SimpleNamespace(rows=rows, columns=columns, blur=blur, shape=(96, 160))
    assert sharpness_in(edges, Box(0.25, 0.25, 0.25, 0.25)) == pytest.approx(0.5)
    for row, column in ((1, 0), (-1, 0), (0, 1), (0, -1)):  # three of four edges lie outside: its quarter is inside
        moved = sharpness_in(edges, Box(0.25 + column * 0.1875, 0.25 + row * 0.1875, 0.25, 0.25))
        assert moved == pytest.approx(0.5 * 0.25 + 0.1 * 0.75, abs=0.45)
    one = np.flatnonzero((rows >= 24) & (rows < 48) & (columns >= 40) & (columns < 80))
    inner = SimpleNamespace(rows=rows[one], columns=columns[one], blur=np.linspace(0.5, 3, len(one)), shape=(96, 160))
    assert sharpness_in(inner, Box(0.25, 0.25, 0.25, 0.25)) == pytest.approx(sharp(0.5 + 2.5 / 4))
    assert sharpness_in(inner, Box(0.0, 0.0, 0.25, 1.0)) == sharpness_in(inner, Box(0.5, 0.0, 0.5, 1.0)) == 0
    assert sharpness_in(inner, Box(0.0, 0.0, 1.0, 0.25)) == sharpness_in(inner, Box(0.0, 0.5, 1.0, 0.5)) == 0


def motion_of(edges: SimpleNamespace) -> float:
    """Return the swing of squared blur by direction over its mean, as far as a wave explains it, by loops and a fit."""
    parts = [np.sort(edges.blur[np.minimum((edges.angle / np.pi * 12).astype(int), 11) == k]) for k in range(12)]
    told = [k for k in range(12) if len(parts[k]) >= 16]
    if len(told) < 5:
        return 0.0
    middles = np.array([(k + 0.5) * np.pi / 12 for k in told])
    answers = []
    for share in (2, 20):
        square = np.array([float(parts[k][len(parts[k]) // share]) ** 2 for k in told])
        waves = np.column_stack([np.ones(len(told)), np.cos(2 * middles), np.sin(2 * middles)])
        mean, cosine, sine = np.linalg.lstsq(waves, square, rcond=None)[0]
        left = square - waves @ [mean, cosine, sine]
        swing = np.hypot(cosine, sine)
        answers.append((mean + swing, min(max(swing / mean, 0), 1) * max(0, 1 - left.var() / square.var())))
    return 0.0 if answers[0][0] < 1 else (answers[0][1] + answers[1][1]) / 2


@pytest.mark.parametrize("seed", range(8))
def test_motion_is_the_wave_that_plain_loops_fit(seed):
    edges = some_edges(seed, 200 + 150 * seed)
    assert module._motion(edges) == pytest.approx(motion_of(edges), abs=1e-5)


@pytest.mark.parametrize(("directions", "each", "told"), [(5, 16, True), (4, 16, False), (5, 15, False)])
def test_five_directions_of_sixteen_edges_are_judged_and_no_fewer(directions, each, told):
    part = np.repeat([0, 2, 5, 7, 10][:directions], each)
    angle = ((part + 0.5) * np.pi / 12).astype(np.float32)
    edges = SimpleNamespace(angle=angle, blur=np.sqrt(4 + 3 * np.cos(2 * angle)).astype(np.float32))
    assert module._motion(edges) == pytest.approx(0.75 if told else 0, abs=1e-3)


@pytest.mark.parametrize("share", [2, 4, 20])
def test_a_rank_among_each_part_is_that_of_sorting(share):
    random = np.random.default_rng(share)
    part, blur = random.integers(0, 7, 400), random.uniform(0, 7.9, 400).astype(np.float32)
    part[part == 3] = 4  # an empty part
    found, counts = module._ranked(part, blur, 7, share)
    for k in range(7):
        own = np.sort(blur[part == k])
        assert counts[k] == len(own)
        assert np.isnan(found[k]) if k == 3 else found[k] == pytest.approx(own[len(own) // share], abs=1e-5)


def test_half_of_the_sharpness_is_the_subjects_and_half_that_of_the_four_best_tiles():
    """By hand: best tiles 0.9, 0.8, 0.7, 0.6; a subject sharper than half of them counts, a softer one as that half."""
    tiles = np.zeros((8, 8), np.float32)
    tiles[0, :5] = 0.5, 0.9, 0.6, 0.8, 0.7
    for blur, subject in ((1.1, 0.5), (2.2, 0.75 / 2)):
        edges = SimpleNamespace(rows=np.full(20, 50), columns=np.full(20, 30), shape=(96, 160),
                                blur=np.full(20, blur, np.float32), angle=np.zeros(20, np.float32))  # fmt: skip
        found = measure_detail(edges, tiles, WHOLE, 0.7)
        assert found.sharpness == pytest.approx(0.5 * 0.75 + 0.5 * subject, abs=1e-6)
        assert (found.motion, found.grain) == (0, 0.7)
        assert found.tiles is tiles
