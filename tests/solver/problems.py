"""Random problems with every rule on that mostly have sets, and the hypothesis strategy around them."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from setsolver.domain.problem import Problem
from setsolver.solver.polish import polished

ENDLESS = 10_000_000


def arrays(seed: int, *, most: int = 13, linear: bool = False) -> dict:
    """Return one problem's arrays: N 1 to 6, roles with minima and maxima, groups that do not nest, and so on."""
    rng = np.random.default_rng(seed)
    total = int(rng.integers(4, most + 1))
    size, roles, axes = int(rng.integers(1, min(6, total - 1) + 1)), int(rng.integers(1, 5)), int(rng.integers(0, 4))
    frames = int(rng.integers(min(total, size + 1), total + 1))
    frame = np.concatenate([np.arange(frames), rng.integers(0, frames, total - frames)])
    rng.shuffle(frame)
    gain = rng.normal(10, 5, (total, roles))
    gain[rng.random(gain.shape) < 0.2] = np.nan
    role_min = rng.integers(0, 2, roles) * (rng.random(roles) < 0.4)
    role_max = np.maximum(role_min, rng.integers(1, size + 1, roles)) if rng.random() < 0.5 else np.full(roles, size)
    rows, pairs = int(rng.integers(0, 4)), int(rng.integers(0, 3)) if frames > 1 else 0
    order = rng.permutation(frames)
    wished = int(rng.integers(0, 2)) if rng.random() < 0.4 else 0
    barred = int(rng.integers(0, frames - size + 1)) if rng.random() < 0.3 else 0
    reach = rng.uniform(3, 12, axes)
    reach[rng.random(axes) < 0.3] = np.inf
    return {
        "size": size,
        "frame": frame,
        "gain": gain,
        "role_min": role_min,
        "role_max": role_max,
        "tone": rng.normal(0, 4, (total, axes)),
        "tone_weight": rng.uniform(0, 2, axes) * (rng.random(axes) < 0.85),
        "tone_slack": rng.uniform(0, 2, axes) * (rng.random(axes) < 0.7),
        "tone_reach": reach,
        "place": rng.normal(0, 1, (total, int(rng.integers(0, 4)))),
        "variety_weight": 0.0 if linear else rng.uniform(0, 10) * (rng.random() < 0.85),
        "variety_kind": ["squared", "euclidean"][int(rng.integers(0, 2))],
        "group": rng.integers(-1, max(2, total // 2), (rows, total)),
        "group_cap": rng.integers(1, 3, rows),
        "conflict": np.array([rng.choice(frames, 2, replace=False) for _ in range(pairs)]).reshape(-1, 2),
        "include": order[:wished],
        "exclude": order[wished : wished + barred] if frames - wished - barred >= size else [],
    }


def random_problem(seed: int, **options) -> Problem:
    """Return ``arrays`` as a problem."""
    return Problem.from_arrays(arrays(seed, **options))


problems = st.integers(0, ENDLESS).map(random_problem)


def best_of(problem: Problem, sets, boxes=()):
    """Return (best score, chosen) among given sets, (-inf, None) where none is valid."""
    best = (-np.inf, None)
    for chosen in sets:
        choice = polished(problem, chosen, boxes)
        if choice is not None and choice.score > best[0]:
            best = (choice.score, choice.chosen)
    return best
