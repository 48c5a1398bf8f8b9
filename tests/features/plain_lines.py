"""Edge points and lines one number at a time, written plainly: a second opinion on ``features.lines``.

Blurs and gradients are SciPy's, fits are NumPy's; every length, limit and share is written out as the docstrings there
have it.
"""

from __future__ import annotations

from itertools import pairwise
from math import atan, degrees, floor, log, radians, tan

import numpy as np
from scipy.ndimage import correlate1d, gaussian_filter

from setsolver.features.lines import EdgePoints

__all__ = ["edges_of", "fit_of", "support_of", "texture_of", "unsteady_of", "votes_of"]


def edges_of(grey: np.ndarray) -> dict[tuple[int, int], tuple[float, float, float]]:
    """Return (x, y, rise) of edge points by row and averaged column."""
    height, width = grey.shape
    columns = width // 2
    wide = width / columns
    narrow = np.zeros((height, columns))
    for column in range(columns):
        start, end = column * wide, (column + 1) * wide
        for pixel in range(floor(start), min(width, floor(end) + 1)):
            narrow[:, column] += max(0.0, min(end, pixel + 1) - max(start, pixel)) / wide * grey[:, pixel]
    smooth = gaussian_filter(np.rint(narrow), (1.4, 1.5), mode="mirror", truncate=4)
    change, mean = np.array([-0.5, 0, 0.5]), np.array([0.25, 0.5, 0.25])
    down = correlate1d(correlate1d(smooth, change, 0, mode="mirror"), mean, 1, mode="mirror")
    along = correlate1d(correlate1d(smooth, change, 1, mode="mirror"), mean, 0, mode="mirror") / wide
    found = {}
    for row in range(1, height - 1):
        for column in range(columns):
            before, on, after = (abs(float(down[row + k, column])) for k in (-1, 0, 1))
            if on > before and on >= after and on > 1.5 and abs(along[row, column]) < on * tan(radians(26)):
                offset = 0.5 * (after - before) / (2 * on - before - after)
                found[row, column] = (column + 0.5) * wide - width / 2, row + offset, float(down[row, column])
    return found


def votes_of(points: EdgePoints) -> dict[tuple[int, int, int], float]:
    """Return votes by sign (0 where it gets darker downwards), angle and place, before neighbours are added."""
    lowest = -points.width / 2 * tan(radians(14))
    every = 1 + len(points.x) // 4000
    found: dict[tuple[int, int, int], float] = {}
    for x, y, rise in zip(points.x[::every], points.y[::every], points.rise[::every], strict=True):
        for step in range(57):
            place = floor((y - x * tan(radians(-14 + step / 2)) - lowest) / 2)
            key = int(rise > 0), step, place
            found[key] = found.get(key, 0.0) + min(abs(rise), 7.0)
    return found


def fit_of(points: EdgePoints, sign: int, slope: float, middle: float) -> tuple[float, float] | None:
    """Return (slope, middle) after at most five fits under Tukey's biweight."""
    near_by = [k for k in range(len(points.x)) if points.rise[k] * sign > 0
               and abs(points.y[k] - middle - slope * points.x[k]) < 16]  # fmt: skip
    x, y = points.x[near_by], points.y[near_by]
    strength = np.minimum(np.abs(points.rise[near_by]), 30.0)
    reach = 2.5
    for _ in range(5):
        pull = strength * bell(y - middle - slope * x, reach)
        if (pull > 0).sum() < 12:
            return None
        before = slope
        slope, middle = np.polyfit(x, y, 1, w=np.sqrt(pull))
        if abs(slope - before) * points.width < 0.02:
            break
        close = [away for away in np.abs(y - middle - slope * x) if away < 2.5]
        if len(close) < 12:
            return None
        reach = min(max(3.5 * float(np.median(close)), 1.6), 2.5)
    return float(slope), float(middle)


def bell(away: np.ndarray, reach: float) -> np.ndarray:
    """Return Tukey's biweight, 0 from twice the reach on."""
    return np.array([(1 - (one / (2 * reach)) ** 2) ** 2 if abs(one) < 2 * reach else 0.0 for one in away])


def support_of(
    points: EdgePoints, sign: int, slope: float, middle: float, shift: float = 0.0, free: np.ndarray | None = None
) -> float:
    """Return the share of the width whose pairs of columns have a point of that sign within 2.5 of a parallel."""
    columns = set()
    for k in range(len(points.x)):
        away = points.y[k] - middle - slope * points.x[k] - shift
        if points.rise[k] * sign > 0 and abs(away) < 2.5 and (free is None or free[k]):
            columns.add(floor((points.x[k] + points.width / 2) / 2))
    return 2 * len(columns) / points.width


def unsteady_of(x: np.ndarray, away: np.ndarray, strength: np.ndarray) -> float:
    """Return the degrees between a line and a fit that points within 12 pixels pull."""
    slope = middle = 0.0
    for _ in range(3):
        pull = np.minimum(strength, 30.0) * bell(away - middle - slope * x, 6.0)
        if (pull > 0).sum() < 12:
            break
        slope, middle = np.polyfit(x, away, 1, w=np.sqrt(pull))
    return abs(degrees(atan(slope)))


def texture_of(points: EdgePoints, sign: int, middle: float, slope: float) -> tuple[float, float]:
    """Return roughness and unevenness of a line whose surroundings lie in the picture."""
    height, width = points.gradient.shape
    parts = min(40, width)
    starts = [floor(part * width / parts) for part in range(parts)] + [width]
    away_of_all, logs = [], []
    for start, end in pairwise(starts):
        at = [middle + slope * ((column + 0.5) / width - 0.5) * points.width for column in range(start, end)]
        rows = [round(one) for one in at]
        here = [[points.gradient[row + k, column] for k in range(-9, 10)]
                for row, column in zip(rows, range(start, end), strict=True)]  # fmt: skip
        means = (sign * np.mean(here, axis=0)).tolist()
        rounded = float(np.mean(np.subtract(rows, at)))
        inside = sum(0 < one < height - 1 for one in at) > (end - start) / 2
        away, strength = vertex(means)
        if not inside or strength <= 0.5:
            continue
        away_of_all.append(abs(away + rounded))
        near, own = vertex(means[4:-4])
        if abs(near + rounded) < 1.2 and own > 0.5:
            logs.append(log(own + 0.5))
    if len(logs) < 4:
        return 8.0, 2.0
    return float(np.median(away_of_all)), float(np.std(logs))


def vertex(along: list[float]) -> tuple[float, float]:
    """Return where the parabola about the largest inner number has its vertex, from the middle, and that number."""
    top = max(range(1, len(along) - 1), key=lambda k: along[k])
    before, on, after = along[top - 1 : top + 2]
    bend = before - 2 * on + after
    shift = 0.5 * (before - after) / bend if bend < -1e-6 else 0.0
    return top - len(along) // 2 + min(max(shift, -1.0), 1.0), float(on)
