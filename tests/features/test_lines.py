"""Edge points and lines of painted edges."""

import numpy as np
import pytest

from setsolver.features import lines
from setsolver.features.lines import REACH, edge_points, strongest_lines


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
