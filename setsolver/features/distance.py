"""Shot scale from optics: focus distance and focal length say how much of the world the frame spans.

A camera that records the distance gives the width in metres that the long side frames, 36 mm / f35 x distance (thin
lens, 35 mm equivalent). What plays wide, medium or close by content is told by the embedding; the framed width adds a
weak likelihood to its odds, so that optics decide where the picture alone is unsure and yield where it is sure.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from setsolver.domain.measures import ScaleOdds

__all__ = ["framed_metres", "with_framed_width"]

_TYPICAL: Final = np.log([12.0, 1.6, 0.25])
"""Framed widths in metres that are typical of wide, medium and close: a place; a person or table; a head or a hand.

The borders between them, about 4.4 and 0.63 m, agree with a standing person at a third of the frame's height and with
head and shoulders (the widths are common practice, no source)."""
_SPREAD: Final = 0.8
"""Standard deviation in natural logarithms: a factor of 2.2 either way."""


def framed_metres(distance_m: float | None, focal35_mm: float | None) -> float | None:
    """Return the width that the long side frames, in metres; None where either is unknown, zero or infinite."""
    if not distance_m or not focal35_mm or not np.isfinite(distance_m):
        return None
    return 36.0 / focal35_mm * distance_m


def with_framed_width(odds: ScaleOdds, metres: float) -> ScaleOdds:
    """Return odds after the framed width is known: each times its log-normal likelihood, made to sum to 1."""
    logs = np.log(np.maximum(odds, 1e-6)) - 0.5 * ((np.log(metres) - _TYPICAL) / _SPREAD) ** 2
    weights = np.exp(logs - logs.max())
    return ScaleOdds(*(weights / weights.sum()).tolist())
