"""Pixels per inch: how many pixels a print needs, and which crops have them."""

from __future__ import annotations

from math import ceil

import numpy as np

from setsolver.domain.brief import Brief
from setsolver.domain.problem import Floats

__all__ = ["CM_PER_INCH", "enough_pixels", "pixels_needed"]

CM_PER_INCH = 2.54
"""Exactly, by definition (international yard and pound agreement of 1959)."""


def pixels_needed(print_cm: float, min_ppi: float) -> int:
    """Return the least whole number of pixels along an edge of a print; 50 cm at 150 ppi need 2953."""
    return ceil(round(print_cm / CM_PER_INCH * min_ppi, 6))  # rounded: 25.4 cm at 300 ppi is 3000, not 3001


def enough_pixels(brief: Brief, pixels: Floats) -> np.ndarray:
    """Return which crops [M] of ``pixels`` [M, 2] wide and high have enough along the print's long edge."""
    return np.asarray(pixels.max(axis=1) >= pixels_needed(brief.print_cm, brief.min_ppi))
