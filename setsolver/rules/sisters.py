"""Sisters: what the other frames of its moment show of a frame, that it could have been sharper or better exposed."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from setsolver.domain.columns import Column, moments_of
from setsolver.domain.frame import Frame
from setsolver.domain.problem import Floats, Ints

__all__ = ["exposure_lag", "sharpness_lead"]

LIGHT_ENOUGH = 60.0
"""Mid tone, L*, above which a frame shows no sister up as too dark: it may be too light itself."""
UNBLOWN = 0.02
"""Share of the frame by which its highlights may be more clipped than those of a sister that it is to show up."""
LAG_MOST = 2.0
"""EV beyond which a frame gets no darker for this purpose."""
_SHARPNESS = Column(lambda frame: frame.measures.detail.sharpness)
_TONE = Column(lambda frame: (frame.measures.tone.mid, frame.measures.tone.clipped_high), width=2)


def sharpness_lead(frames: Sequence[Frame]) -> Floats:
    """Return by how much the sharpest frame of the same moment is sharper, [F], 0 for the sharpest and for loners."""
    own = _SHARPNESS.of(frames)
    moment = moments_of(frames)
    return np.where(moment >= 0, _best(own, moment) - own, 0.0)


def exposure_lag(frames: Sequence[Frame]) -> Floats:
    """Return by how many EV the best exposed frame of the same moment is lighter in its mid tone, [F], at least 0.

    Best exposed is the lightest that is light enough at most, and whose highlights are no more clipped than the
    others': a night is as dark in all frames of its moment, a frame of a burst that was shot too dark is not.
    """
    moment = moments_of(frames)
    mid, clipped = _TONE.of(frames).T
    stops = _stops(mid)
    sound = (mid <= LIGHT_ENOUGH) & (clipped <= -_best(-clipped, moment) + UNBLOWN)
    lag = _best(np.where(sound, stops, -np.inf), moment) - stops
    return np.where(moment >= 0, np.clip(lag, 0.0, LAG_MOST), 0.0)


def _best(values: Floats, moment: Ints) -> Floats:
    """Return the largest value of each frame's moment, [F]; of frames without one, of all such frames."""
    best = np.full(moment.max(initial=-1) + 2, -np.inf)
    np.maximum.at(best, moment + 1, values)
    return best[moment + 1]


def _stops(lightness: Floats) -> Floats:
    """Return log2 of the relative luminance of L* (ISO/CIE 11664-4:2019), from a thousandth of white on."""
    luminance = np.where(lightness > 8.0, ((lightness + 16.0) / 116.0) ** 3, lightness * 27.0 / 24389.0)
    return np.asarray(np.log2(np.maximum(luminance, 1e-3)))
