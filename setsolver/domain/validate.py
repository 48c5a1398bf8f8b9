"""Score and check a set from the problem alone, by code that knows no solver.

Every solver test calls these functions; so does the ledger. They follow the formula of DESIGN section 5 term by term
and are written for plainness, not for speed.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from setsolver.domain.problem import Floats, Problem

__all__ = ["Terms", "best_look", "broken_rules", "look_window", "score_terms"]

FEASIBILITY_TOLERANCE = 1e-9
"""Absolute tolerance in tone units for reach, so that a look on the very border counts as reached."""


class Terms(NamedTuple):
    """The score's terms: ``gain`` [N] per member, ``variety`` [N, N] per pair (upper), ``effort`` [N, K] (>= 0)."""

    gain: Floats
    variety: Floats
    effort: Floats

    @property
    def score(self) -> float:
        """Points: gains plus variety minus effort."""
        return float(self.gain.sum() + self.variety.sum() - self.effort.sum())


def score_terms(problem: Problem, chosen: Sequence[int], roles: Sequence[int], look: Sequence[float]) -> Terms:
    """Return the terms of a set's score in points; rules are not checked here."""
    index = np.asarray(chosen, dtype=np.int64)
    gain = problem.gain[index, np.asarray(roles, dtype=np.int64)]
    place = problem.place[index]
    distance = ((place[:, None, :] - place[None, :, :]) ** 2).sum(axis=2)
    if problem.variety_kind == "euclidean":
        distance = np.sqrt(distance)
    variety = np.triu(distance, 1) * (problem.variety_weight / max(1, problem.size - 1))
    away = np.abs(problem.tone[index] - np.asarray(look, dtype=np.float64)) - problem.tone_slack
    return Terms(gain, variety, problem.tone_weight * np.maximum(0.0, away))


def look_window(problem: Problem, chosen: Sequence[int]) -> tuple[Floats, Floats]:
    """Return the lowest and highest look [K] that every chosen rendition reaches; they cross where there is none."""
    tone = problem.tone[np.asarray(chosen, dtype=np.int64)]
    width = problem.tone_reach + problem.tone_slack
    return tone.max(axis=0) - width, tone.min(axis=0) + width


def best_look(problem: Problem, chosen: Sequence[int]) -> Floats | None:
    """Return the look [K] of least effort for the chosen renditions, or None where no look is in everyone's reach.

    On each axis the effort is convex and piecewise linear with its kinks at tone +- slack, so an optimum lies on a kink
    or on an end of the window; of equal kinks the middle of the flat stretch is taken.
    """
    low, high = look_window(problem, chosen)
    if np.any(low > high + FEASIBILITY_TOLERANCE):
        return None
    high = np.maximum(low, high)
    tone = problem.tone[np.asarray(chosen, dtype=np.int64)]
    look = np.empty(len(low))
    for axis, slack in enumerate(problem.tone_slack):
        kinks = np.concatenate([tone[:, axis] - slack, tone[:, axis] + slack, [low[axis], high[axis]]])
        kinks = np.clip(kinks[np.isfinite(kinks)], low[axis], high[axis])
        effort = np.maximum(0.0, np.abs(tone[:, axis][:, None] - kinks) - slack).sum(axis=0)
        flat = kinks[effort <= effort.min() + 1e-12]
        look[axis] = (flat.min() + flat.max()) / 2
    return look


def broken_rules(problem: Problem, chosen: Sequence[int], roles: Sequence[int], look: Sequence[float]) -> list[str]:
    """Return every rule that the set breaks, named by key and index; empty for a valid set."""
    index = np.asarray(chosen, dtype=np.int64)
    frames = problem.frame[index]
    broken: list[str] = []
    if len(index) != problem.size:
        broken.append(f"size: {len(index)} chosen, {problem.size} wanted")
    if len(set(frames.tolist())) != len(frames):
        broken.append("frame: a frame is in twice")
    broken += _broken_roles(problem, index, roles)
    away = np.abs(problem.tone[index] - np.asarray(look, dtype=np.float64)) - problem.tone_slack - problem.tone_reach
    broken += [f"tone_reach[{k}]: out of reach" for k in np.flatnonzero((away > FEASIBILITY_TOLERANCE).any(axis=0))]
    for row, cap in enumerate(problem.group_cap):
        labels = problem.group[row, index]
        counts = np.bincount(labels[labels >= 0]) if np.any(labels >= 0) else np.zeros(1, dtype=np.int64)
        if counts.max() > cap:
            broken.append(f"group_cap[{row}]: {counts.max()} with label {counts.argmax()}, at most {cap}")
    pairs = {(int(a), int(b)) for a, b in problem.conflict} | {(int(b), int(a)) for a, b in problem.conflict}
    broken += [f"conflict: frames {a} and {b}" for a, b in combinations(frames.tolist(), 2) if (a, b) in pairs]
    broken += [f"include: frame {f} is missing" for f in problem.include if f not in frames]
    broken += [f"exclude: frame {f} is in" for f in problem.exclude if f in frames]
    return broken


def _broken_roles(problem: Problem, index: np.ndarray, roles: Sequence[int]) -> list[str]:
    broken = [
        f"gain[{i}, {r}]: cannot play this role"
        for i, r in zip(index, roles, strict=True)
        if np.isnan(problem.gain[i, r])
    ]
    counts = np.bincount(np.asarray(roles, dtype=np.int64), minlength=len(problem.role_min))
    for role, count in enumerate(counts):
        if count < problem.role_min[role]:
            broken.append(f"role_min[{role}]: {count}, at least {problem.role_min[role]}")
        if count > problem.role_max[role]:
            broken.append(f"role_max[{role}]: {count}, at most {problem.role_max[role]}")
    return broken
