"""Long straight edges near one axis: edge points with sub-pixel places, and the lines that most of them share."""

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
_SMOOTH: Final = 1.4
_STRENGTH: Final = 5.0
"""Least smoothed gradient, grey levels a pixel, of an edge point."""
_STEP: Final = 0.5
_BIN: Final = 2.0
_ENOUGH_POINTS: Final = 4000
_FEWEST: Final = 24
"""Fewest edge points of a line."""
_ON: Final = 2.5
"""Distance, in pixels, at which a point still lies on a line."""
_BESIDE: Final = (-12.0, -7.0, 7.0, 12.0)
"""Distances of the parallels that a line is compared with."""
_AROUND: Final = 16.0
"""Distance, in pixels, from a peak of the vote within which points can join its line."""
_NEAR: Final = (5.0, 3.0, 2.0, 1.6, 1.6)
"""Distances, in pixels, within which points pull the line, step by step."""


@dataclass(frozen=True, slots=True, eq=False)
class EdgePoints:
    """x : float64[n], pixels from the centre column. y : float64[n], pixels from the top.

    rise : float64[n], grey levels a pixel, > 0 where it gets brighter downwards. width, height : of the picture.
    """

    x: NDArray[np.float64]
    y: NDArray[np.float64]
    rise: NDArray[np.float64]
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Line:
    """A line y = middle + slope * x. support : share of the columns in which it has an edge point of its sign.

    beside : the same share for parallels close by, so that texture is told from a line. spread : root mean square
    distance of the points, pixels. rise : their mean gradient, signed. width : of the picture, pixels.
    """

    middle: float
    slope: float
    support: float
    beside: float
    spread: float
    rise: float
    width: int

    @property
    def degrees(self) -> float:
        """Tilt; > 0 where the right end is lower."""
        return float(np.degrees(np.arctan(self.slope)))


def edge_points(grey: NDArray[np.uint8]) -> EdgePoints:
    """Return the points of edges that run within ``REACH`` of the rows; for columns give the transposed picture."""
    smooth = cv2.GaussianBlur(grey, (0, 0), _SMOOTH).astype(np.float32)
    dx = cv2.Sobel(smooth, cv2.CV_32F, 1, 0, ksize=3, scale=0.125)
    dy = cv2.Sobel(smooth, cv2.CV_32F, 0, 1, ksize=3, scale=0.125)
    strength = np.abs(dy)
    level = strength[1:-1]
    peak = (level > strength[:-2]) & (level >= strength[2:]) & (level > _STRENGTH)
    peak &= np.abs(dx[1:-1]) < level * np.float32(tan(radians(REACH + 12)))
    rows, columns = np.nonzero(peak)
    before, at, after = strength[rows, columns], strength[rows + 1, columns], strength[rows + 2, columns]
    offset = 0.5 * (after - before) / np.maximum(2 * at - before - after, 1e-6)
    height, width = grey.shape
    x = columns - (width - 1) / 2
    return EdgePoints(x, rows + 1.0 + offset, dy[rows + 1, columns].astype(np.float64), width, height)


def strongest_lines(points: EdgePoints, most: int = 4) -> list[Line]:
    """Return up to ``most`` distinct lines, the best supported first.

    A Hough vote of signed edge points over angle and height (a point counts by its gradient, capped, so that neither
    strength alone nor a crowd of faint points wins), then a robust fit of each peak.
    """
    if len(points.x) < _FEWEST:
        return []
    votes, angles, lowest = _vote(points)
    lines = [_fit(points, sign, angle, place) for sign, angle, place in _peaks(votes, angles, lowest, most)]
    return sorted((line for line in lines if line is not None), key=lambda line: line.beside - line.support)


def _vote(points: EdgePoints) -> tuple[NDArray[np.float64], NDArray[np.float64], float]:
    """Return votes [2 signs, angles, places], the angles in degrees, and the place of bin 0 in pixels."""
    angles = np.arange(-REACH, REACH + _STEP / 2, _STEP)
    lowest = -points.width / 2 * tan(radians(REACH))
    bins = int((points.height - 2 * lowest) / _BIN) + 2
    weight = np.minimum(np.abs(points.rise), 3 * _STRENGTH)
    side = np.where(points.rise > 0, bins, 0)
    votes = np.empty((2, len(angles), bins))
    some = slice(None, None, 1 + len(points.x) // _ENOUGH_POINTS)
    x, y, weight, side = points.x[some], points.y[some], weight[some], side[some]
    for k, angle in enumerate(angles):
        place = ((y - x * tan(radians(angle)) - lowest) / _BIN).astype(np.int64)
        votes[:, k] = np.bincount(place + side, weight, 2 * bins).reshape(2, bins)
    votes[..., 1:-1] = votes[..., :-2] + votes[..., 1:-1] + votes[..., 2:]
    return votes, angles, lowest


def _peaks(
    votes: NDArray[np.float64], angles: NDArray[np.float64], lowest: float, most: int
) -> list[tuple[int, float, float]]:
    """Return (sign, angle, place) of the highest votes, each clearing its surroundings."""
    left = votes.copy()
    found = []
    for _ in range(most):
        sign, row, column = (int(k) for k in np.unravel_index(int(np.argmax(left)), left.shape))
        if left[sign, row, column] <= 0:
            break
        found.append((1 if sign else -1, float(angles[row]), lowest + (column + 0.5) * _BIN))
        left[sign, max(0, row - 6) : row + 7, max(0, column - 8) : column + 9] = 0
    return found


def _fit(points: EdgePoints, sign: int, angle: float, place: float) -> Line | None:
    slope, middle = tan(radians(angle)), place
    side = np.sign(points.rise) == sign
    around = side & (np.abs(points.y - middle - slope * points.x) < _AROUND)
    x, y = points.x[around], points.y[around]
    weight = np.minimum(np.abs(points.rise[around]), 6 * _STRENGTH)
    for near in _NEAR:
        away = y - middle - slope * x
        pull = weight * np.maximum(0, 1 - (away / (2 * near)) ** 2) ** 2  # Tukey's biweight
        if np.count_nonzero(pull) < _FEWEST:
            return None
        middle, slope = _least_squares(x, y, pull)
    return _line(points, side, middle, slope)


def _least_squares(x: NDArray[np.float64], y: NDArray[np.float64], pull: NDArray[np.float64]) -> tuple[float, float]:
    total = pull.sum()
    mean_x, mean_y = pull @ x / total, pull @ y / total
    slope = pull @ ((x - mean_x) * (y - mean_y)) / max(float(pull @ (x - mean_x) ** 2), 1e-9)
    return float(mean_y - slope * mean_x), float(slope)


def _line(points: EdgePoints, side: NDArray[np.bool_], middle: float, slope: float) -> Line | None:
    away = np.where(side, points.y - middle - slope * points.x, np.inf)
    near = np.abs(away) < _ON
    if not near.any():
        return None
    return Line(
        middle=middle,
        slope=slope,
        support=_covered(points, near),
        beside=float(np.mean([_covered(points, np.abs(away - shift) < _ON) for shift in _BESIDE])),
        spread=float(np.sqrt(np.mean(away[near] ** 2))),
        rise=float(points.rise[near].mean()),
        width=points.width,
    )


def _covered(points: EdgePoints, chosen: NDArray[np.bool_]) -> float:
    column = (points.x[chosen] + points.width / 2).astype(int)
    return float(np.count_nonzero(np.bincount(column, minlength=points.width)) / points.width)
