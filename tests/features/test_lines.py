"""Edge points and lines of painted edges."""

import cv2
import numpy as np
import pytest

from setsolver.features import lines
from setsolver.features.lines import REACH, edge_points, strongest_lines
from tests.features import plain_lines


def edge(degrees: float, height: float = 0.5, size: tuple[int, int] = (400, 600), low: int = 60) -> np.ndarray:
    """A light half above a dark one, with an antialiased edge; uint8[H, W]."""
    y, x = np.mgrid[: size[0], : size[1]]
    line = height * size[0] + np.tan(np.radians(degrees)) * (x - (size[1] - 1) / 2)
    below = np.clip(y - line + 0.5, 0, 1)
    return np.rint(200 * (1 - below) + low * below).astype(np.uint8)


@pytest.mark.parametrize("degrees", [-11.3, -2.0, 0.0, 0.25, 6.7])
@pytest.mark.parametrize("size", [(400, 600), (601, 401)])
def test_a_painted_edge_is_the_strongest_line(degrees, size):
    line = strongest_lines(edge_points(edge(degrees, size=size)), 4)[0]
    assert line.degrees == pytest.approx(degrees, abs=0.05)
    assert line.middle == pytest.approx(0.5 * size[0], abs=0.3)
    assert line.support > 0.95
    assert line.beside < 0.2
    assert line.unsteady < 0.1


def test_edge_points_lie_on_the_edge_and_have_its_sign():
    for picture, sign in ((edge(2.0), -1), (255 - edge(2.0), 1)):
        points = edge_points(picture)
        assert np.abs(points.away(200.0, np.tan(np.radians(2.0)))).max() < 0.5
        assert (np.sign(points.rise) == sign).all()


def test_edges_steeper_than_the_reach_are_no_points():
    assert len(edge_points(edge(REACH + 14)).x) < 24
    assert len(edge_points(edge(0.0).T.copy()).x) == 0


def test_a_plain_picture_has_no_lines():
    assert strongest_lines(edge_points(np.full((200, 300), 90, np.uint8)), 8) == []


def test_two_edges_are_two_lines_and_chords_of_one_edge_are_none():
    both = np.vstack([edge(0.0)[:300], edge(3.0, low=200 - 60)[100:]])
    lines = [line for line in strongest_lines(edge_points(both), 8) if line.support > 0.5]
    assert len(lines) <= 3
    single = [line.degrees for line in strongest_lines(edge_points(edge(1.0)), 8) if line.support > 0.3]
    assert single == pytest.approx([1.0], abs=0.05)


def test_a_bumpy_edge_is_less_steady_than_a_straight_one():
    bumpy = edge(0.0)
    for left, rise in ((0, 5), (100, 3), (200, 4), (300, 0), (400, 1), (500, -3)):
        bumpy[200 - max(rise, 0) : 200 + max(-rise, 0), left : left + 100] = 60 if rise > 0 else 200
    steady, shaky = (strongest_lines(edge_points(picture), 8)[0].unsteady for picture in (edge(0.0), bumpy))
    assert steady < 0.02
    assert shaky > 0.1


def test_a_ragged_edge_is_rougher_than_a_straight_one():
    random, ragged = np.random.default_rng(1), edge(0.0)
    for left in range(0, 600, 20):
        top = 200 + random.integers(-5, 6)
        ragged[:top, left : left + 20], ragged[top:, left : left + 20] = 200, 60
    straight, rough = (strongest_lines(edge_points(picture), 8)[0].rough for picture in (edge(1.0), ragged))
    assert straight < 0.3
    assert rough > 1


def test_an_edge_whose_strength_changes_is_more_uneven():
    fading = edge(0.0)
    fading[200:] = np.linspace(190, 20, 600).astype(np.uint8)
    even, uneven = (strongest_lines(edge_points(picture), 8)[0].uneven for picture in (edge(0.0), fading))
    assert even < 0.05
    assert uneven > 0.4


@pytest.mark.parametrize("middle", [3.0, 12.0, 30.0, 56.0])
def test_a_line_is_as_rough_upside_down(middle):
    """Also where the rows about it would leave the picture: the top and the bottom treat it alike."""
    rng, (height, width) = np.random.default_rng(4), (60, 240)
    own = middle + rng.normal(0, 0.6, width)
    rows = np.arange(height)[:, None]
    gradient = (rng.uniform(3, 9, width) * np.exp(-0.5 * (rows - own) ** 2)).astype(np.float32)
    none = np.zeros(0)
    upright = lines.EdgePoints(none, none, none, gradient, width, height)
    turned = lines.EdgePoints(none, none, none, np.ascontiguousarray(-gradient[::-1]), width, height)
    found = lines._texture(upright, 1, middle, 0.01)
    assert lines._texture(turned, -1, height - 1 - middle, -0.01) == pytest.approx(found, abs=0.05)


@pytest.mark.parametrize("vertex", [-3.4, -0.5, 0.0, 0.3, 2.25])
def test_a_peak_between_rows_is_where_the_parabola_through_three_of_them_has_it(vertex):
    """Samples of a parabola itself: its vertex is found exactly, and the largest sample is told."""
    offsets = np.arange(-5, 6)
    along = 7.0 - (offsets[:, None] - np.array([vertex, 0.0])) ** 2
    away, strength = lines._peak(along)
    assert away == pytest.approx([vertex, 0.0])
    assert strength == pytest.approx(along.max(axis=0))


def rough_edges(seed: int, size: tuple[int, int] = (90, 161)) -> np.ndarray:
    """Blurred noise over a slanted edge: gradients of every strength and direction; uint8[H, W]."""
    random = np.random.default_rng(seed)
    noise = cv2.GaussianBlur(random.normal(0, 1, size), (0, 0), 2.0)
    return np.clip(edge(4.0, size=size) * 0.5 + 45 + noise / noise.std() * 14, 0, 255).astype(np.uint8)


def scattered(seed: int, count: int, size: tuple[int, int] = (120, 160)) -> lines.EdgePoints:
    """Two edges with scatter about them, strong and faint points, of both signs, and points anywhere."""
    random = np.random.default_rng(seed)
    x = random.uniform(-size[1] / 2, size[1] / 2, count)
    slope, middle = np.where(random.random(count) < 0.5, 0.05, -0.12), np.where(random.random(count) < 0.7, 50.0, 61.0)
    y = np.where(random.random(count) < 0.6, middle + slope * x + random.normal(0, 1.5, count),
                 random.uniform(0, size[0], count))  # fmt: skip
    rise = random.choice([-1.0, 1.0], count, p=[0.3, 0.7]) * random.uniform(1.5, 45, count)
    gradient = random.normal(0, 3, (size[0], size[1] // 2)).astype(np.float32)
    gradient[46:54] += 2
    return lines.EdgePoints(x, y, rise, gradient, size[1], size[0])


@pytest.mark.parametrize("size", [(90, 160), (90, 161), (61, 43)])
def test_edge_points_are_those_that_plain_loops_find(size):
    found = edge_points(rough_edges(5, size))
    plain = plain_lines.edges_of(rough_edges(5, size))
    wide = size[1] / (size[1] // 2)
    places = {
        (round(y), int((x + size[1] / 2) / wide)): k for k, (x, y) in enumerate(zip(found.x, found.y, strict=True))
    }
    same = places.keys() & {(round(y), column) for (_, column), (_, y, _) in plain.items()}
    assert len(found.x) == pytest.approx(len(plain), abs=2)
    assert len(same) >= len(plain) - 4  # rounding decides about single ones
    by_place = {(round(y), column): (x, y, rise) for (_, column), (x, y, rise) in plain.items()}
    for place in same:
        at = places[place]
        assert (found.x[at], found.y[at], found.rise[at]) == pytest.approx(by_place[place], abs=2e-3)
    assert (found.width, found.height) == (size[1], size[0])


@pytest.mark.parametrize("count", [300, 3999, 9001])
def test_every_point_votes_once_an_angle_by_its_strength(count):
    points = scattered(count, count)
    votes, angles, lowest = lines._vote(points)
    assert angles == pytest.approx(np.linspace(-14, 14, 57))
    assert lowest == pytest.approx(-80 * np.tan(np.radians(14)))
    expected = np.zeros(votes.shape)
    for (sign, step, place), weight in plain_lines.votes_of(points).items():
        for beside in (place - 1, place, place + 1):
            if 0 < beside < votes.shape[2] - 1 or beside == place:
                expected[sign, step, beside] += weight
    assert votes == pytest.approx(expected)


def test_a_peak_clears_six_angles_and_eight_places_about_it_and_nothing_beyond():
    votes = np.zeros((2, 57, 200))
    votes[0, 20, 100] = 9.0
    votes[0, 26, 108] = votes[0, 14, 92] = votes[0, 26, 92] = votes[0, 14, 108] = 8.0  # within reach: cleared
    votes[0, 27, 100], votes[0, 13, 100], votes[0, 20, 109], votes[0, 20, 91] = 7.0, 6.0, 5.0, 4.0  # just beyond
    votes[1, 20, 100] = 3.0  # of the other sign
    angles, tangent = np.arange(-14, 14.25, 0.5), lambda angle: np.tan(np.radians(angle))
    peaks = lines._peaks(votes.copy(), angles, -10.0, 9)
    places = [-10.0 + 2 * (column + 0.5) for column in (100, 100, 100, 109, 91, 100)]
    steps, signs = (20, 27, 13, 20, 20, 20), (-1, -1, -1, -1, -1, 1)  # the second sheet has what gets brighter
    assert peaks == [pytest.approx((sign, tangent(angles[step]), place))
                     for sign, step, place in zip(signs, steps, places, strict=True)]  # fmt: skip
    assert lines._peaks(votes, angles, -10.0, 2) == peaks[:2]


def test_peaks_at_the_ends_of_the_vote_clear_only_what_is_there():
    votes = np.zeros((2, 57, 50))
    votes[0, 0, 0], votes[0, 3, 5], votes[0, 50, 45] = 9.0, 8.0, 7.0
    assert len(lines._peaks(votes, np.arange(-14, 14.25, 0.5), 0.0, 9)) == 2


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("sign", [-1, 1])
def test_a_fit_is_the_iterated_one_under_tukeys_biweight(seed, sign):
    """J. W. Tukey's biweight: (1 - u^2)^2 within its reach (A. E. Beaton, J. W. Tukey, Technometrics 16, 1974)."""
    points = scattered(seed, 500)
    for slope, middle in ((0.03, 51.0), (-0.1, 60.0), (0.0, 48.0), (0.05, 62.0)):
        found, plain = lines._fit(points, sign, slope, middle), plain_lines.fit_of(points, sign, slope, middle)
        assert (found is None) == (plain is None)
        assert plain is None or found == pytest.approx((sign, *plain), abs=1e-6)


def test_fewer_than_twelve_points_are_no_line():
    for count, there in ((11, False), (12, True)):
        x = np.linspace(-70, 70, count)
        points = lines.EdgePoints(x, 40 + 0.1 * x, np.full(count, 9.0), np.zeros((80, 80), np.float32), 160, 80)
        assert (lines._fit(points, 1, 0.1, 40.0) is not None) == there
        assert lines._fit(points, -1, 0.1, 40.0) is None
        assert lines._fit(points, 1, 0.1, 57.0) is None


def test_a_fit_to_points_on_a_line_is_that_line():
    """By hand: 40 points on a line, looked for from a little beside it: they are all on what is found."""
    x = np.linspace(-300, 300, 40)
    points = lines.EdgePoints(x, 100 + 0.02 * x, np.full(40, 9.0), np.zeros((200, 300), np.float32), 600, 200)
    assert lines._fit(points, 1, 0.0205, 100.5) == pytest.approx((1, 0.02, 100.0), abs=1e-9)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("sign", [-1, 1])
def test_support_parallels_and_steadiness_are_what_plain_loops_count(seed, sign):
    points, slope, middle = scattered(seed, 700), 0.05, 50.0
    free = np.random.default_rng(seed).random(700) < 0.7
    before = free.copy()
    line = lines._line(points, (sign, slope, middle), free)
    parallels = [plain_lines.support_of(points, sign, slope, middle, shift) for shift in (-12, -7, 7, 12)]
    assert line.support == pytest.approx(plain_lines.support_of(points, sign, slope, middle, free=before))
    assert line.beside == pytest.approx(np.mean(parallels))
    assert (line.middle, line.slope, line.width) == (middle, slope, 160)
    away, own = points.y - middle - slope * points.x, points.rise * sign > 0
    near = own & (np.abs(away) < 14.5)
    steady = plain_lines.unsteady_of(points.x[near], away[near], np.abs(points.rise[near]))
    assert line.unsteady == pytest.approx(steady, abs=1e-6)
    assert (line.rough, line.uneven) == pytest.approx(plain_lines.texture_of(points, sign, middle, slope), abs=1e-4)
    assert np.array_equal(free, before & ~(own & (np.abs(away) < 5)))


def test_where_no_point_lies_on_a_fit_it_is_no_line():
    points, free = scattered(1, 300), np.ones(300, bool)
    assert lines._line(points, (1, 0.0, -40.0), free) is None
    assert free.all()


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("sign", [-1, 1])
def test_texture_is_what_plain_loops_find(seed, sign):
    """Faint and strong, near and far, in pictures of fewer columns than parts and of more."""
    random = np.random.default_rng(seed)
    height, width = 60, int(random.integers(20, 140))
    own = 30 + random.normal(0, 1 + seed % 3, width)
    strength = random.choice([0.2, 0.45, 0.7, 6.0], width, p=[0.1, 0.3, 0.3, 0.3])
    gradient = strength * np.exp(-0.5 * (np.arange(height)[:, None] - own) ** 2) + random.normal(
        0, 0.05, (height, width)
    )
    points = lines.EdgePoints(*[np.zeros(0)] * 3, (sign * gradient).astype(np.float32), 2 * width, height)
    found, plain = (texture(points, sign, 30.2, 0.02) for texture in (lines._texture, plain_lines.texture_of))
    assert found == pytest.approx(plain, abs=1e-4)


def test_lines_come_best_first_and_weak_ones_not_at_all():
    found = strongest_lines(edge_points(rough_edges(2, (240, 320))), 8)
    beyond = [line.support - line.beside for line in found]
    assert len(found) >= 3
    assert beyond == sorted(beyond, reverse=True)
    assert min(line.support for line in found) > 0.1
    assert len(strongest_lines(edge_points(rough_edges(2, (240, 320))), 2)) <= 2


def test_points_belong_to_the_line_that_has_most_of_them():
    """Two edges cross; where they do the longer one keeps its columns, and the shorter one has none of its own."""
    x = np.linspace(-149, 149, 150)
    y = np.concatenate([60 + 0.0 * x, 60 + 0.15 * x[75:]])
    columns = np.concatenate([x, x[75:]])
    points = lines.EdgePoints(columns, y, np.full(225, 9.0), np.zeros((120, 150), np.float32), 300, 120)
    level, slanted = strongest_lines(points, 8)[:2]
    assert level.degrees == pytest.approx(0, abs=0.3)
    assert level.support == pytest.approx(1, abs=0.02)
    assert slanted.degrees == pytest.approx(np.degrees(np.arctan(0.15)), abs=0.5)
    assert slanted.support == pytest.approx((150 - 5 / 0.15) / 300, abs=0.03)  # less those within 5 of the level one


def test_the_mirror_image_and_the_picture_upside_down_have_the_mirrored_lines():
    picture = rough_edges(7, (240, 320))
    own = strongest_lines(edge_points(picture), 1)[0]
    mirrored = strongest_lines(edge_points(np.ascontiguousarray(picture[:, ::-1])), 1)[0]
    turned = strongest_lines(edge_points(np.ascontiguousarray(picture[::-1, ::-1])), 1)[0]
    assert (mirrored.middle, mirrored.degrees) == pytest.approx((own.middle, -own.degrees), abs=0.05)
    assert (turned.middle, turned.degrees) == pytest.approx((239 - own.middle, own.degrees), abs=0.05)
    for other in (mirrored, turned):
        assert (other.support, other.beside) == pytest.approx((own.support, own.beside), abs=0.03)


@pytest.mark.parametrize("end", [-1, 0])
def test_where_an_outermost_row_is_larger_the_peak_lies_no_more_than_a_row_beyond(end):
    along = np.full((7, 1), 1.0)
    along[end], along[-2 if end else 1] = 9.0, 4.0
    away, strength = lines._peak(along)
    assert away == pytest.approx([3.0 if end else -3.0])  # rows 1 to 5 are looked at; the middle one is 3
    assert strength == [4.0]
