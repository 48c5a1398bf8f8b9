"""The best set of a small problem by trying all in arrays: an oracle that knows neither solver nor validator."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, product
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from setsolver.domain.problem import Problem

__all__ = ["best_score", "tried"]

EPS = 1e-9


def best_score(problem: Problem) -> float | None:
    """Return the best score of all sets that break no rule, None where there is none."""
    return max((float(score) for _, _, score in tried(problem)), default=None)


def tried(problem: Problem) -> Iterator[tuple[np.ndarray, tuple[int, ...], float]]:
    """Yield (rows, roles, score) of every set that breaks no rule, each at its look of least effort."""
    rows = _allowed(problem)
    common = _variety(problem, rows) - _effort(problem, rows)
    rows, common = rows[np.isfinite(common)], common[np.isfinite(common)]
    for roles in product(range(problem.gain.shape[1]), repeat=problem.size):
        counts = np.bincount(roles, minlength=problem.gain.shape[1])
        if (counts < problem.role_min).any() or (counts > problem.role_max).any():
            continue
        score = common + sum(problem.gain[rows[:, at], role] for at, role in enumerate(roles))
        for at in np.flatnonzero(~np.isnan(score)):
            yield rows[at], roles, score[at]


def _allowed(problem: Problem) -> np.ndarray:
    """Return the sets of rows [C, N] that keep every rule but roles and reach."""
    able = np.flatnonzero(~np.isnan(problem.gain).all(axis=1))
    rows = np.array(list(combinations(able.tolist(), problem.size)), dtype=np.int64).reshape(-1, problem.size)
    frames = problem.frame[rows]
    fine = np.ones(len(rows), dtype=bool)
    for one, other in combinations(range(problem.size), 2):
        fine &= frames[:, one] != frames[:, other]
        for a, b in problem.conflict:
            fine &= ~(np.isin(frames[:, one], (a, b)) & np.isin(frames[:, other], (a, b)))
    for frame in problem.include:
        fine &= (frames == frame).any(axis=1)
    fine &= ~np.isin(frames, problem.exclude).any(axis=1)
    for labels, most in zip(problem.group, problem.group_cap, strict=True):
        here = labels[rows]
        for label in np.unique(labels[labels >= 0]):
            fine &= (here == label).sum(axis=1) <= most
    return rows[fine]


def _variety(problem: Problem, rows: np.ndarray) -> np.ndarray:
    place, total = problem.place[rows], np.zeros(len(rows))
    for one, other in combinations(range(problem.size), 2):
        squared = ((place[:, one] - place[:, other]) ** 2).sum(axis=1)
        total += np.sqrt(squared) if problem.variety_kind == "euclidean" else squared
    return total * problem.variety_weight / max(1, problem.size - 1)


def _effort(problem: Problem, rows: np.ndarray) -> np.ndarray:
    """Return the least effort [C]; inf where no look is in everyone's reach. It lies on a kink or an end."""
    total = np.zeros(len(rows))
    for axis in range(problem.tone.shape[1]):
        value = problem.tone[rows, axis]
        slack, reach = problem.tone_slack[axis], problem.tone_reach[axis]
        ends = [value + side * far for side in (-1, 1) for far in (slack, slack + reach) if np.isfinite(far)]
        looks = np.concatenate([value, *ends], axis=1)
        away = np.abs(value[:, :, None] - looks[:, None, :]) - slack
        cost = np.maximum(0, away).sum(axis=1)
        cost[(away > reach + EPS).any(axis=1)] = np.inf
        total += np.where(np.isfinite(cost.min(axis=1)), problem.tone_weight[axis] * cost.min(axis=1), np.inf)
    return total
