"""Places in which variety is bounded by squared distances, for both kinds of variety.

Both distances d(i, j) are squared distances of points phi_i in some space (the Euclidean one because it is of negative
type: Schoenberg 1938). With k_ij = phi_i . phi_j a set of N scores

    sum_{i<j} d(i, j) = N * sum_i k_ii - sum_ij k_ij,

concave in the indicator of the set, so that any tangent bounds it by a sum over items (Spiers, Bui, Loxton, EJOR 311,
2023, for the Euclidean case). If only some coordinates P of phi are kept, so that k - P P' is positive semidefinite,
then N * sum_i k_ii - |sum_i P_i|^2 is still never below the truth: ``own`` = k_ii is exact, P may be short.

* squared: P = the places about their mean, turned onto their main axes and cut to ``MOST_DIMS``.
* euclidean: P = the partial Cholesky factor of k with greedy pivots; its remainder is positive semidefinite.

Invariant (tested): for every set, the bound above is at least its sum of distances, and equal where nothing was cut.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from setsolver.domain.problem import Floats, Ints, Problem

__all__ = ["MOST_DIMS", "embedded"]

MOST_DIMS = 64
"""Most tangent dimensions for many items; up to ``FULL_ITEMS`` items the Euclidean kind keeps all it has."""
FULL_ITEMS = 600
NEGLIGIBLE = 1e-12


def embedded(problem: Problem, item: Ints) -> tuple[Floats, Floats]:
    """Return (place [m, D], own [m]) of the items; D = 0 where variety does not count."""
    place = problem.place[item]
    if problem.variety_weight == 0 or problem.size < 2 or place.size == 0:
        return np.zeros((len(item), 0)), np.zeros(len(item))
    if problem.variety_kind == "squared":
        return _main_axes(place - place.mean(axis=0))
    return _cholesky(place, len(item) if len(item) <= FULL_ITEMS else MOST_DIMS)


def _main_axes(place: Floats) -> tuple[Floats, Floats]:
    """Turn places onto their main axes, by whichever of the two tables of products is the smaller."""
    own = (place**2).sum(axis=1)
    few = len(place) < place.shape[1]
    spread, axes = np.linalg.eigh(place @ place.T if few else place.T @ place)
    kept = np.argsort(-spread)[:MOST_DIMS]
    kept = kept[spread[kept] > NEGLIGIBLE * max(1e-300, spread.max())]
    turned = axes[:, kept] * np.sqrt(spread[kept]) if few else place @ axes[:, kept]
    return np.ascontiguousarray(turned), own


def _cholesky(place: Floats, most: int) -> tuple[Floats, Floats]:
    """Pivoted partial Cholesky of k_ij = (d(i, o) + d(j, o) - d(i, j)) / 2 with origin o the first pivot's rival."""
    origin = np.linalg.norm(place - place.mean(axis=0), axis=1).argmin()
    to_origin = np.linalg.norm(place - place[origin], axis=1)
    own, left = to_origin.copy(), to_origin.copy()
    factor = np.zeros((min(most, len(place)), len(place)))
    for column in range(len(factor)):
        pivot = int(left.argmax())
        if left[pivot] <= NEGLIGIBLE * max(1e-300, own.max()):
            factor = factor[:column]
            break
        row = (to_origin + to_origin[pivot] - np.linalg.norm(place - place[pivot], axis=1)) / 2
        row -= factor[:column].T @ factor[:column, pivot]
        factor[column] = row / np.sqrt(left[pivot])
        left = np.maximum(0.0, left - factor[column] ** 2)
    return np.ascontiguousarray(factor.T), own
