"""Which rules a set breaks, rule by rule as ``ruleset`` names them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from setsolver.domain.validate import FEASIBILITY_TOLERANCE, look_window
from setsolver.solver.ruleset import Rule

if TYPE_CHECKING:
    from collections.abc import Sequence

    from setsolver.domain.problem import Problem

__all__ = ["broken_by"]


def broken_by(problem: Problem, chosen: Sequence[int], roles: Sequence[int]) -> set[Rule]:
    """Return every rule that the chosen renditions in these roles break, whatever the look."""
    index, played = np.asarray(chosen, dtype=np.int64), np.asarray(roles, dtype=np.int64)
    frames = problem.frame[index]
    counts = np.bincount(played, minlength=len(problem.role_min))
    low, high = look_window(problem, chosen)
    broken: dict[str, Any] = {
        "gain": np.unique(played[np.isnan(problem.gain[index, played])]),
        "role_min": np.flatnonzero(counts < problem.role_min),
        "role_max": np.flatnonzero((counts > problem.role_max) & (problem.role_max < problem.size)),
        "tone_reach": np.flatnonzero(low > high + FEASIBILITY_TOLERANCE),
        "group_cap": [g for g, cap in enumerate(problem.group_cap) if _fullest(problem.group[g, index]) > cap],
        "conflict": np.flatnonzero(np.isin(problem.conflict, frames).all(axis=1)),
        "include": np.flatnonzero(~np.isin(problem.include, frames)),
        "exclude": np.flatnonzero(np.isin(problem.exclude, frames)),
    }
    found = {Rule(key, int(at)) for key, places in broken.items() for at in places}
    found |= {Rule(key) for key in ("conflict", "exclude") if len(broken[key])}
    return found | ({Rule("size")} if len(index) != problem.size else set())


def _fullest(labels: np.ndarray) -> int:
    """Return how many share the commonest label; -1 is no label."""
    return int(np.unique(labels[labels >= 0], return_counts=True)[1].max(initial=0))
