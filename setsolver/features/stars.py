"""What a photographer's own stars teach the appeal of the frames of a catalog."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from setsolver.errors import BadInput
from setsolver.features.appeal_head import unit_rows
from setsolver.machine import one_blas_thread

__all__ = ["LEAST_APPEAL", "MOST_APPEAL", "looks_about", "stars_at", "with_stars"]

LEAST_APPEAL: Final = 1.0
MOST_APPEAL: Final = 5.0
_OWN: Final = 0.15
"""Variance of what is the frame's own: its star says it, and no other frame follows."""
_LIKE: Final = 0.15
"""Variance of what frames that look alike share: 0.56 is the error of the measure, 0.3 its square (fit_appeal.py)."""
_ALL: Final = 0.1
"""Variance of what the whole catalog shares: one photographer gives stars more freely than another."""
_DOUBT: Final = 0.15
"""Variance of a star itself: half a star either way, and the steps are whole."""
_NEAR: Final = 1.0
"""Of the Gaussian kernel exp(-squared distance) between unit vectors about the catalog's mean."""


def with_stars(
    appeal: NDArray[np.floating], looks: NDArray[np.floating], stars: NDArray[np.floating]
) -> NDArray[np.float64]:
    """Return the appeal of all frames after the photographer gave stars to some.

    What stars say beyond the measure is a Gaussian process: a part that all frames share, a part that frames share as
    far as they look alike, a part of the frame's own, and noise (C. E. Rasmussen, C. K. I. Williams, "Gaussian
    Processes for Machine Learning", 2006, eq. 2.23). So one frame's stars move it by nearly three
    quarters of what they say, its likes by up to half and strangers by less than a fifth; the more stars there are,
    the more they count beside the measure. Stars are read on the scale of appeal, none (0) as 1.

    Parameters
    ----------
    appeal : float[n], as measured. looks : float[n, d], embeddings by which frames are alike. stars : float[n], 0 to 5,
        NaN where the photographer said nothing.

    Returns
    -------
    float64[n], 1 to 5; as given where there are no stars.

    Raises
    ------
    BadInput
        Where the arrays do not fit together or stars are out of range.
    """
    if not len(appeal) == len(looks) == len(stars):
        raise BadInput(f"appeal, looks and stars are of {len(appeal)}, {len(looks)} and {len(stars)} frames")
    return stars_at(appeal, looks_about(looks), stars)


def looks_about(looks: NDArray[np.floating]) -> NDArray[np.float64]:
    """Return unit vectors of looks about the catalog's mean, float64[n, d]."""
    return unit_rows(looks, np.asarray(looks, np.float64).mean(axis=0))


def stars_at(
    appeal: NDArray[np.floating], rows: NDArray[np.float64], stars: NDArray[np.floating]
) -> NDArray[np.float64]:
    """Return what ``with_stars`` returns, of frames whose looks about the mean are known (``looks_about``)."""
    measured = np.asarray(appeal, np.float64)
    known = np.flatnonzero(~np.isnan(stars))
    if len(known) == 0:
        return measured
    given = np.asarray(stars, np.float64)[known]
    if given.min() < 0 or given.max() > MOST_APPEAL:
        raise BadInput(f"stars run from 0 to 5, not from {given.min():g} to {given.max():g}")
    beyond = np.clip(given, LEAST_APPEAL, MOST_APPEAL) - measured[known]
    with one_blas_thread():
        covariance = _ALL + _LIKE * np.exp(-_NEAR * np.maximum(0.0, 2 - 2 * (rows @ rows[known].T)))
        covariance[known, np.arange(len(known))] += _OWN
        moved = covariance @ np.linalg.solve(covariance[known] + _DOUBT * np.eye(len(known)), beyond)
    result: NDArray[np.float64] = np.clip(measured + moved, LEAST_APPEAL, MOST_APPEAL)
    return result
