"""Long straight edges near the rows: edge points with sub-pixel places, and the lines that most of them share."""

from __future__ import annotations

from dataclasses import dataclass
from math import radians, tan
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["REACH", "EdgePoints", "Line", "edge_points", "strongest_lines"]

REACH: Final = 14.0
"""Largest tilt, in degrees, that is looked for: beyond it a slant is taken for intended."""
_COLUMN: Final = 2
"""Pixels that are averaged across before edges are looked for: a level line does not mind, texture does."""
_SMOOTH: Final = (1.5, 1.4)
"""Standard deviations of the blur, in averaged columns and in rows."""
_FAINT: Final = 1.5
"""Least smoothed gradient, grey levels a pixel, of an edge point: a horizon in haze is no stronger."""
_FULL: Final = 7.0
"""Gradient from which an edge point has a full vote."""
_FULL_PULL: Final = 30.0
"""Gradient from which an edge point pulls a line with full strength."""
_STEP: Final = 0.5
_BIN: Final = 2.0
_ENOUGH_POINTS: Final = 4000
_FEWEST: Final = 12
"""Fewest edge points of a line."""
_ON: Final = 2.5
"""Distance, in pixels, at which a point still lies on a line."""
_TAKEN: Final = 5.0
"""Distance, in pixels, within which the points of a line support no other: chords of one edge are not its equals."""
_BESIDE: Final = (-12.0, -7.0, 7.0, 12.0)
"""Distances of the parallels that a line is compared with."""
_AROUND: Final = 16.0
"""Distance, in pixels, from a peak of the vote within which points can join its line."""
_NEAR: Final = (2.5, 1.6)
"""Largest and least distance within which points pull the line; between them it follows their own scatter."""
_SETTLED: Final = 0.02
"""Pixels by which the ends of a line may still move when its fit is taken for done."""
_WIDE: Final = 6.0
"""Distance within which points pull the second, looser fit that tells how steady a line is."""
_LEAST_SUPPORT: Final = 0.1
_PARTS: Final = 40
"""Parts of the width whose strongest edges tell how rough and uneven a line is."""
_OFFSETS: Final = np.arange(-9, 10)
"""Rows about a line in which those are looked for; the outermost only bound them."""
_NARROW: Final = slice(4, -4)
"""The rows in which a line's own edge is looked for."""
_SEEN: Final = 0.5
"""Least gradient, averaged over a part, of an edge."""
_SAME: Final = 1.2
"""Distance, in pixels, within which a part's edge is the line's own."""
_NO_EDGES: Final = (8.0, 2.0)
"""Roughness and unevenness of a line with too few of them."""


@dataclass(frozen=True, slots=True, eq=False)
class EdgePoints:
    """x : float64[n], pixels from the centre column. y : float64[n], pixels from the top.

    rise : float64[n], grey levels a pixel, > 0 where it gets brighter downwards. gradient : float32[height, columns],
    what ``rise`` is taken from. width, height : of the picture.
    """

    x: NDArray[np.float64]
    y: NDArray[np.float64]
    rise: NDArray[np.float64]
    gradient: NDArray[np.float32]
    width: int
    height: int

    def away(self, middle: float, slope: float) -> NDArray[np.float64]:
        """Return how far below the line y = middle + slope * x each point lies, in pixels."""
        return self.y - middle - slope * self.x


@dataclass(frozen=True, slots=True)
class Line:
    """A line y = middle + slope * x. support : share of the columns in which it alone has an edge point of its sign.

    beside : mean share for parallels close by, so that texture is told from a line. unsteady : degrees by which a
    looser fit through the same edge differs: a bumpy edge has no one angle. rough : median distance of the strongest
    edges along the line, pixels. uneven : deviation of the logarithms of the strengths of its own. width : of the
    picture, pixels.
    """

    middle: float
    slope: float
    support: float
    beside: float
    unsteady: float
    rough: float
    uneven: float
    width: int

    @property
    def degrees(self) -> float:
        """Tilt; > 0 where the right end is lower."""
        return float(np.degrees(np.arctan(self.slope)))


def edge_points(grey: NDArray[np.uint8]) -> EdgePoints:
    """Return the points of edges that run within ``REACH`` of the rows."""
    height, width = grey.shape
    narrow = cv2.resize(grey, (max(1, width // _COLUMN), height), interpolation=cv2.INTER_AREA)
    wide = width / narrow.shape[1]
    smooth = cv2.GaussianBlur(narrow.astype(np.float32), (0, 0), sigmaX=_SMOOTH[0], sigmaY=_SMOOTH[1])
    dx = cv2.Sobel(smooth, cv2.CV_32F, 1, 0, ksize=3, scale=0.125 / wide)
    dy = cv2.Sobel(smooth, cv2.CV_32F, 0, 1, ksize=3, scale=0.125)
    strength = np.abs(dy)
    level = strength[1:-1]
    peak = (level > strength[:-2]) & (level >= strength[2:]) & (level > _FAINT)
    peak &= np.abs(dx[1:-1]) < level * np.float32(tan(radians(REACH + 12)))
    at = np.flatnonzero(peak)
    rows, columns = np.divmod(at, narrow.shape[1])
    flat = strength.ravel()
    before, on, after = (flat[at + k * narrow.shape[1]] for k in range(3))
    offset = 0.5 * (after - before) / np.maximum(2 * on - before - after, 1e-6)
    rise = dy.ravel()[at + narrow.shape[1]].astype(np.float64)
    return EdgePoints((columns + 0.5) * wide - width / 2, rows + 1.0 + offset, rise, dy, width, height)


def strongest_lines(points: EdgePoints, most: int) -> list[Line]:
    """Return up to ``most`` distinct lines, the best supported first.

    A Hough vote of signed edge points over angle and height (a point counts by its gradient, capped, so that neither
    strength alone nor a crowd of faint points wins), a robust fit of each peak, then every point is given to the
    strongest of the lines that pass it.
    """
    if len(points.x) < _FEWEST:
        return []
    votes, angles, lowest = _vote(points)
    fits = [_fit(points, *peak) for peak in _peaks(votes, angles, lowest, most)]
    counted = sorted((-_on(points, *fit), fit) for fit in fits if fit is not None)
    free = np.ones(len(points.x), dtype=bool)
    lines = [_line(points, fit, free) for _, fit in counted]
    kept = [line for line in lines if line is not None and line.support > _LEAST_SUPPORT]
    return sorted(kept, key=lambda line: line.beside - line.support)


def _vote(points: EdgePoints) -> tuple[NDArray[np.float64], NDArray[np.float64], float]:
    """Return votes [2 signs, angles, places], the angles in degrees, and the place of bin 0 in pixels."""
    angles = np.arange(-REACH, REACH + _STEP / 2, _STEP)
    lowest = -points.width / 2 * tan(radians(REACH))
    bins = int((points.height - 2 * lowest) / _BIN) + 2
    some = slice(None, None, 1 + len(points.x) // _ENOUGH_POINTS)
    x, y, rise = points.x[some], points.y[some], points.rise[some]
    weight, side = np.minimum(np.abs(rise), _FULL), np.where(rise > 0, bins, 0)
    votes = np.empty((2, len(angles), bins))
    for k, angle in enumerate(angles):
        place = ((y - x * tan(radians(angle)) - lowest) / _BIN).astype(np.int64)
        votes[:, k] = np.bincount(place + side, weight, 2 * bins).reshape(2, bins)
    votes[..., 1:-1] = votes[..., :-2] + votes[..., 1:-1] + votes[..., 2:]
    return votes, angles, lowest


def _peaks(
    votes: NDArray[np.float64], angles: NDArray[np.float64], lowest: float, most: int
) -> list[tuple[int, float, float]]:
    """Return (sign, slope, place) of the highest votes, each clearing its surroundings."""
    left = votes.copy()
    found = []
    for _ in range(most):
        sign, row, column = (int(k) for k in np.unravel_index(int(np.argmax(left)), left.shape))
        if left[sign, row, column] <= 0:
            break
        found.append((1 if sign else -1, tan(radians(angles[row])), lowest + (column + 0.5) * _BIN))
        left[sign, max(0, row - 6) : row + 7, max(0, column - 8) : column + 9] = 0
    return found


def _fit(points: EdgePoints, sign: int, slope: float, middle: float) -> tuple[int, float, float] | None:
    """Return (sign, slope, middle) of the line through the points about a peak, None where too few are left.

    Iterated least squares under Tukey's biweight, whose width follows the median distance of the points.
    """
    around = (points.rise * sign > 0) & (np.abs(points.away(middle, slope)) < _AROUND)
    x, y = points.x[around], points.y[around]
    weight = np.minimum(np.abs(points.rise[around]), _FULL_PULL)
    near = _NEAR[0]
    for _ in range(5):
        pull = weight * _biweight(y - middle - slope * x, near)
        if np.count_nonzero(pull) < _FEWEST:
            return None
        before = slope
        middle, slope = _least_squares(x, y, pull)
        away = np.abs(y - middle - slope * x)
        if abs(slope - before) * points.width < _SETTLED:
            break
        close = away[away < _NEAR[0]]
        if len(close) < _FEWEST:
            return None
        near = min(max(3.5 * float(np.median(close)), _NEAR[1]), _NEAR[0])
    return sign, slope, middle


def _biweight(away: NDArray[np.float64], near: float) -> NDArray[np.float64]:
    pull: NDArray[np.float64] = np.maximum(0, 1 - (away / (2 * near)) ** 2) ** 2
    return pull


def _least_squares(x: NDArray[np.float64], y: NDArray[np.float64], pull: NDArray[np.float64]) -> tuple[float, float]:
    """Return middle and slope."""
    total = pull.sum()
    mean_x, mean_y = pull @ x / total, pull @ y / total
    slope = pull @ ((x - mean_x) * (y - mean_y)) / max(float(pull @ (x - mean_x) ** 2), 1e-9)
    return float(mean_y - slope * mean_x), float(slope)


def _on(points: EdgePoints, sign: int, slope: float, middle: float) -> int:
    return int(np.count_nonzero((points.rise * sign > 0) & (np.abs(points.away(middle, slope)) < _ON)))


def _line(points: EdgePoints, fit: tuple[int, float, float], free: NDArray[np.bool_]) -> Line | None:
    """Return a fit as a line, None where no point lies on it, and take its points out of ``free``."""
    sign, slope, middle = fit
    away = points.away(middle, slope)
    near = np.flatnonzero((points.rise * sign > 0) & (np.abs(away) < _BESIDE[-1] + _ON))
    away, x, own = away[near], points.x[near], free[near]
    size = points.width // _COLUMN + 2
    column = ((x + points.width / 2) / _COLUMN).astype(np.int64)

    def covered(shift: float, which: NDArray[np.bool_] | bool = True) -> float:  # noqa: FBT001, FBT002 - a mask
        seen = np.bincount(column[(np.abs(away - shift) < _ON) & which], minlength=size)
        return float(np.count_nonzero(seen) * _COLUMN / points.width)

    if not (np.abs(away) < _ON).any():
        return None
    beside = float(np.mean([covered(shift) for shift in _BESIDE]))
    unsteady = _unsteady(x, away, np.abs(points.rise[near]))
    texture = _texture(points, sign, middle, slope)
    line = Line(middle, slope, covered(0.0, own), beside, unsteady, *texture, points.width)
    free[near[np.abs(away) < _TAKEN]] = False
    return line


def _unsteady(x: NDArray[np.float64], away: NDArray[np.float64], strength: NDArray[np.float64]) -> float:
    """Return the angle, in degrees, between a line and a looser fit to the points about it."""
    weight, middle, slope = np.minimum(strength, _FULL_PULL), 0.0, 0.0
    for _ in range(3):
        pull = weight * _biweight(away - middle - slope * x, _WIDE)
        if np.count_nonzero(pull) < _FEWEST:
            break
        middle, slope = _least_squares(x, away, pull)
    return float(abs(np.degrees(np.arctan(slope))))


def _texture(points: EdgePoints, sign: int, middle: float, slope: float) -> tuple[float, float]:
    """Return the roughness and unevenness of a line.

    The picture's gradient is looked at along the line and averaged over parts of the width, where faint edges show.
    """
    height, width = points.gradient.shape
    parts = min(_PARTS, width)
    at = middle + slope * ((np.arange(width) + 0.5) / width - 0.5) * points.width
    rows = np.rint(at).astype(np.int64)
    first = np.clip(rows, -_OFFSETS[0], height - 1 - _OFFSETS[-1]) * width + np.arange(width)
    edges = np.linspace(0, width, parts + 1).astype(int)[:-1]
    size = np.diff(np.append(edges, width))
    around = points.gradient.ravel().take(first + (_OFFSETS * width)[:, None], mode="clip")
    along = np.add.reduceat(around, edges, axis=1) * (sign / size)
    away, strength = _peak(along)
    away += np.add.reduceat(rows - at, edges) / size
    inside = (np.add.reduceat((at > 0) & (at < height - 1), edges) > size / 2) & (strength > _SEEN)
    near, own = _peak(along[_NARROW])
    near += np.add.reduceat(rows - at, edges) / size
    close = own[inside & (np.abs(near) < _SAME) & (own > _SEEN)]
    if len(close) < _PARTS // 10:
        return _NO_EDGES
    return float(np.median(np.abs(away[inside]))), float(np.std(np.log(close + _SEEN)))


def _peak(along: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return how far from the middle row each column's largest value lies, by a parabola, and that value."""
    top, columns = along[1:-1].argmax(axis=0) + 1, np.arange(along.shape[1])
    before, on, after = (along[top + k, columns] for k in (-1, 0, 1))
    bend = np.minimum(before - 2 * on + after, -1e-6)
    return top - len(along) // 2 + np.clip(0.5 * (before - after) / bend, -1, 1), on
