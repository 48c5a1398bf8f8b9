"""What a photographer's own words about scale teach the odds of the frames that nobody corrected."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from setsolver.domain.measures import EMBEDDING_SIZE, SCALES
from setsolver.errors import BadInput
from setsolver.features.head import softmax
from setsolver.machine import one_blas_thread

__all__ = ["places_of", "refit", "refit_at"]

_STIFFNESS: Final = 0.3
"""Weight of the penalty on moving away from the odds as measured: one correction moves its likes, not the catalog."""
_LEAST_ODDS: Final = 1e-3


def refit(
    odds: NDArray[np.floating],
    embeddings: NDArray[np.floating],
    said: NDArray[np.integer],
    *,
    weight: float = 1.0,
) -> NDArray[np.float64]:
    """Return the odds of all frames after corrections of some.

    The measured odds are the prior; a linear term on the embedding is added to their logarithms and fitted to the
    corrections with a quadratic penalty (a logistic regression with offset, maximum a posteriori), so frames that look
    like a corrected one follow it and the others stay. Corrected frames get their own word in full.

    Parameters
    ----------
    odds : float[n, 3], as measured, of wide, medium, close. embeddings : float[n, 1280].
    said : int[n], index into ``SCALES`` of a corrected frame, -1 where nothing was said. weight : of one correction.

    Returns
    -------
    float64[n, 3], rows sum to 1; the same rows as given where nothing was said.

    Raises
    ------
    BadInput
        Where the arrays do not fit together or a correction is no scale.
    """
    measured = np.asarray(odds, np.float64)
    _check(measured, embeddings, said)
    return refit_at(measured, places_of(embeddings), said, weight=weight) if (said >= 0).any() else measured


def refit_at(
    odds: NDArray[np.float64], places: NDArray[np.float32], said: NDArray[np.integer], *, weight: float = 1.0
) -> NDArray[np.float64]:
    """Return what ``refit`` returns, of frames whose places are known: ``places_of`` their embeddings, [n, 1281]."""
    known = np.flatnonzero(said >= 0)
    if len(known) == 0:
        return odds
    prior = np.log(np.maximum(odds, _LEAST_ODDS))
    target = np.eye(len(SCALES))[said[known]]
    with one_blas_thread():  # its steps are small: threads would only wait for each other
        shift = _fit(places[known].astype(np.float64), prior[known], target, weight)
        moved = places @ shift.astype(np.float32)
    result = softmax(prior + moved.astype(np.float64))
    result[known] = target
    return result


def _check(odds: NDArray[np.float64], embeddings: NDArray[np.floating], said: NDArray[np.integer]) -> None:
    wanted = [(len(odds), len(SCALES)), (len(odds), EMBEDDING_SIZE), (len(odds),)]
    shapes = [odds.shape, embeddings.shape, said.shape]
    if shapes != wanted:
        raise BadInput(f"corrections need odds, embeddings and words of shapes {wanted}, not {shapes}")
    if len(said) and not (said.min() >= -1 and said.max() < len(SCALES)):
        raise BadInput(
            f"a scale is -1 (nothing said) or an index below {len(SCALES)}, not {said.min()} or {said.max()}"
        )


def places_of(embeddings: NDArray[np.floating]) -> NDArray[np.float32]:
    """Return unit vectors about the catalog's mean, with a constant for a shift of the whole catalog; [n, 1281].

    In single precision: what is learned is told to two digits, and a catalog's places may be kept.
    """
    root = np.sqrt(np.maximum(np.asarray(embeddings, np.float32), 0))
    root -= root.mean(axis=0, dtype=np.float64).astype(np.float32)
    root /= np.maximum(np.linalg.norm(root, axis=1, keepdims=True), np.float32(1e-9))
    return np.hstack([root, np.full((len(root), 1), 0.3, np.float32)])


def _fit(
    places: NDArray[np.float64], prior: NDArray[np.float64], target: NDArray[np.float64], weight: float
) -> NDArray[np.float64]:
    """Return the shift [d, 3] that fits the corrections, in the span of their own places (representer theorem)."""
    gram = places @ places.T

    def loss(flat: NDArray[np.float64]) -> tuple[float, NDArray[np.float64]]:
        dual = flat.reshape(target.shape)
        moved = gram @ dual
        guess = softmax(prior + moved)
        cost = -weight * float((target * np.log(np.maximum(guess, 1e-12))).sum())
        penalty = 0.5 * _STIFFNESS * float((dual * moved).sum())
        return cost + penalty, (gram @ (weight * (guess - target) + _STIFFNESS * dual)).ravel()

    found = minimize(loss, np.zeros(target.size), jac=True, method="L-BFGS-B")
    shift: NDArray[np.float64] = places.T @ found.x.reshape(target.shape)
    return shift
