"""Palette: where a frame's colours lie."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from setsolver.domain.measures import Palette
from setsolver.features.sight import Sight, feature
from setsolver.features.views import views_of

__all__ = ["palette_of"]

STEP = 2
"""Every so many rows and columns are read: colours are large."""


def palette_of(lab: NDArray[np.float32]) -> Palette:
    """Return the chroma-weighted mean a* and b*, and the mean chroma C*, of a picture in CIE L*a*b* [h, w, 3].

    Weighted by chroma (CIE 15, C* = hypot(a*, b*)), so that greys do not hide what the colours are; grey is 0, 0, 0.
    """
    a, b = (lab[::STEP, ::STEP, channel].astype(np.float64) for channel in (1, 2))
    chroma = np.sqrt(a * a + b * b)  # a fifth of the time of np.hypot, which heeds what overflows
    total = max(float(chroma.sum()), 1e-9)
    return Palette(float((a * chroma).sum() / total), float((b * chroma).sum() / total), float(chroma.mean()))


@feature("palette")
def _palette(sight: Sight) -> Palette:
    return palette_of(sight.once(views_of).lab)
