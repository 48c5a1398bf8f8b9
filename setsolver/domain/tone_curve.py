"""The tone curve: L* in, L* out, monotone, through the frame's black, mid and white points moved by its correction."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from setsolver.colour.toning import Toning
from setsolver.domain.outcome import Correction, ToneRecord

__all__ = ["LEAST_SLOPE", "lightness_table", "reached", "toning_of"]

LEAST_SLOPE = 0.25
"""Share of the distance between two tone points that a correction must leave, so that no tones merge (our choice)."""
_APART = 0.25
"""Tone points nearer to each other than this, in L*, count as one; the outer one of the two wins."""
_STEPS = 2048


def lightness_table(tone: ToneRecord, correction: Correction) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the curve as a table of L* before and after, both increasing from 0 to 100; float64[steps].

    Below black and above white the curve runs on in parallel where there is room, so that shadows and highlights are
    shifted and not stretched; between the points it is a monotone cubic (PCHIP: Fritsch, Butland, SIAM J. Sci. Stat.
    Comput. 5, 1984).
    """
    before, after = _knots(tone, correction)
    at = np.linspace(0.0, 100.0, _STEPS)
    return at, np.clip(PchipInterpolator(before, after)(at), 0.0, 100.0)


def toning_of(tone: ToneRecord, correction: Correction, treatment: str = "colour") -> Toning:
    """Return what a correction does to the pixels of a frame of this tone, in "colour" or "mono"."""
    before, after = lightness_table(tone, correction)
    cast, centre = (correction.cast_a, correction.cast_b), (tone.cast_a, tone.cast_b)
    return Toning(before, after, cast, centre, mono=treatment == "mono")


def reached(tone: ToneRecord, correction: Correction) -> ToneRecord:
    """Return the tone that the curve gives: tone + correction, but L* within 0 to 100 and points in their order.

    A correction that would bring black, mid and white closer than ``LEAST_SLOPE`` of their distance, or past each
    other, is held there.
    """
    black, mid, white = _held(tone, correction)
    return ToneRecord(
        black=black,
        mid=mid,
        white=white,
        cast_a=tone.cast_a + correction.cast_a,
        cast_b=tone.cast_b + correction.cast_b,
        vignette=tone.vignette + correction.vignette,
        grain=tone.grain + correction.grain,
    )


def _held(tone: ToneRecord, correction: Correction) -> tuple[float, float, float]:
    """Return black, mid and white after the correction, held in range and in order; the outer points go first."""
    low, high = LEAST_SLOPE * (tone.mid - tone.black), LEAST_SLOPE * (tone.white - tone.mid)
    black = min(max(tone.black + correction.black, 0.0), 100.0 - low - high)
    white = min(max(tone.white + correction.white, black + low + high), 100.0)
    mid = min(max(tone.mid + correction.mid, black + low), white - high)
    return black, mid, white


def _knots(tone: ToneRecord, correction: Correction) -> tuple[list[float], list[float]]:
    black, mid, white = _held(tone, correction)
    before, after = [0.0], [max(0.0, min(black - tone.black, black))]
    ends = (100.0, min(100.0, max(100.0 + white - tone.white, white)))
    inner = [(tone.black, black), (tone.white, white), (tone.mid, mid)]  # mid gives way where points meet
    for x, y in sorted(_distinct(inner)):
        before.append(x)
        after.append(y)
    return [*before, ends[0]], [*after, ends[1]]


def _distinct(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return the points that keep their distance from 0, from 100 and from those before them."""
    kept: list[tuple[float, float]] = []
    for x, y in points:
        if all(abs(x - other) > _APART for other in (0.0, 100.0, *(k for k, _ in kept))):
            kept.append((x, y))
    return kept
