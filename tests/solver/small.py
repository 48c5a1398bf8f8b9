"""Small random problems with every rule on, and all their sets by plain enumeration: the truth for solver tests."""

from __future__ import annotations

from itertools import combinations, product
from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.problem import Problem
from setsolver.domain.validate import FEASIBILITY_TOLERANCE, best_look, broken_rules, score_terms

if TYPE_CHECKING:
    from collections.abc import Iterator


def small_arrays(seed: int, *, most: int = 9, tight: float = 1.0) -> dict[str, np.ndarray]:
    """Return the arrays of one problem with up to ``most`` renditions; ``tight`` below 1 shrinks the reach."""
    rng = np.random.default_rng(seed)
    total = int(rng.integers(4, most + 1))
    size, roles, axes = int(rng.integers(1, 5)), int(rng.integers(1, 4)), int(rng.integers(0, 4))
    frame = np.sort(rng.integers(0, total, total)) if rng.random() < 0.6 else np.arange(total)
    ids = np.unique(frame)
    gain = np.round(rng.normal(10, 6, (total, roles)), 2)
    gain[rng.random(gain.shape) < 0.35] = np.nan
    role_min = rng.integers(0, 2, roles) * (rng.random(roles) < 0.6)
    rows = int(rng.integers(0, 3))
    shuffled = rng.permutation(ids)
    wished, barred = int(rng.random() < 0.3), int(rng.random() < 0.4 and len(ids) > 2)
    pairs = [rng.choice(ids, 2, replace=False) for _ in range(int(rng.integers(0, 4)))] if len(ids) > 1 else []
    return {
        "size": np.array(max(1, min(size, len(ids) - barred))),
        "frame": frame,
        "gain": gain,
        "role_min": role_min,
        "role_max": np.maximum(role_min, rng.integers(0, size + 2, roles)),
        "tone": np.round(rng.normal(0, 4, (total, axes)), 1),
        "tone_weight": np.round(rng.random(axes) * 2, 2),
        "tone_slack": np.round(rng.random(axes), 1),
        "tone_reach": np.round(rng.random(axes) * 5 * tight, 1),
        "place": np.round(rng.normal(0, 1, (total, 2)), 2),
        "variety_weight": np.array(float(rng.integers(0, 4))),
        "variety_kind": np.array(["squared", "euclidean"][int(rng.integers(0, 2))]),
        "group": rng.integers(-1, 3, (rows, total)),
        "group_cap": rng.integers(1, 3, rows),
        "conflict": np.array(pairs, dtype=np.int64).reshape(-1, 2),
        "include": shuffled[:wished],
        "exclude": shuffled[wished : wished + barred],
    }


def small_problem(seed: int, **options: float) -> Problem:
    """Return ``small_arrays`` as a problem."""
    return Problem.from_arrays(small_arrays(seed, **options))


def all_sets(problem: Problem) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Yield (chosen, roles) of every valid set, by trying them all and asking ``domain.validate``."""
    for chosen in combinations(range(problem.renditions), problem.size):
        look = best_look(problem, chosen)
        if look is None:
            continue
        playable = [np.flatnonzero(~np.isnan(problem.gain[i])).tolist() for i in chosen]
        for roles in product(*playable):
            if not broken_rules(problem, chosen, roles, look):
                yield chosen, roles


def scored(problem: Problem, chosen: tuple[int, ...], roles: tuple[int, ...]) -> float:
    """Return the points of a valid set at its own best look."""
    look = best_look(problem, chosen)
    assert look is not None
    return score_terms(problem, chosen, roles, look).score


def best_by_trying(problem: Problem) -> float:
    """Return the best score of any set, -inf where there is none."""
    return max((scored(problem, *found) for found in all_sets(problem)), default=-np.inf)


def any_set(problem: Problem) -> bool:
    """True where the problem has a set."""
    return next(all_sets(problem), None) is not None


def just_below(value: float) -> float:
    """Return a reach that is too small by clearly more than the tolerance of feasibility."""
    return value - 1e-6 - FEASIBILITY_TOLERANCE
