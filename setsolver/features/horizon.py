"""Tilt: how far the horizon is off level, with a confidence, and nothing where there is none."""

from __future__ import annotations

from typing import Final

import cv2

from setsolver.domain.measures import Tilt
from setsolver.features.lines import Line, edge_points, strongest_lines
from setsolver.features.views import Views

__all__ = ["find_tilt"]

_LEAST_EXCESS: Final = 0.15
_FULL_EXCESS: Final = 0.7
"""Share of columns that a line covers beyond its parallels: none of it counts below the first, all above."""
_SURE: Final = 0.5
_NOTHING: Final = Tilt(None, 0.0, None)


def find_tilt(views: Views) -> Tilt:
    """Return the frame's tilt; ``degrees`` is None where no horizon can be trusted."""
    points = edge_points(cv2.cvtColor(views.middle, cv2.COLOR_RGB2GRAY))
    lines = strongest_lines(points)
    if not lines:
        return _NOTHING
    best = max(lines, key=_confidence)
    confidence = _confidence(best)
    if confidence < _SURE:
        return Tilt(None, confidence, None)
    return Tilt(best.degrees, confidence, float(best.middle / points.height))


def _confidence(line: Line) -> float:
    """Return how sure a line is a horizon, 0 to 1."""
    excess = line.support - line.beside
    covered = min(1.0, max(0.0, (excess - _LEAST_EXCESS) / (_FULL_EXCESS - _LEAST_EXCESS)))
    straight = 1.0 / (1.0 + (line.spread / 1.5) ** 2)
    return covered * (0.5 + 0.5 * straight)
