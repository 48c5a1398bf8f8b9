"""From chosen renditions to a full answer: the best roles and the best look for a set whose members are fixed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy.optimize import linear_sum_assignment

from setsolver.domain.solution import Choice
from setsolver.domain.validate import FEASIBILITY_TOLERANCE, broken_rules, look_window, score_terms

if TYPE_CHECKING:
    from collections.abc import Sequence

    from setsolver.domain.problem import Floats, Problem

__all__ = ["best_look_within", "best_roles", "polished"]

IMPOSSIBLE = 1e15
"""Cost of a role that a rendition cannot play; far above the sum of any gains that ``Problem`` lets in."""


def best_roles(problem: Problem, chosen: Sequence[int]) -> tuple[int, ...] | None:
    """Return the roles of most gain for the chosen renditions, or None where no allocation keeps the role counts.

    An assignment of members to slots: ``role_min`` slots of a role must be filled, ``role_max - role_min`` may be.
    """
    most = np.minimum(problem.role_max, problem.size)
    if problem.role_min.sum() > problem.size or np.any(problem.role_min > most):
        return None
    slots = np.repeat(np.arange(len(most)), most)
    needed = np.concatenate([np.arange(high) < low for low, high in zip(problem.role_min, most, strict=True)])
    gain = problem.gain[np.asarray(chosen)][:, slots]
    bonus = 2.0 * (1.0 + np.nansum(np.abs(gain)))  # a needed slot outweighs any gain
    value = np.where(np.isnan(gain), -IMPOSSIBLE, gain + bonus * needed)
    if value.shape[1] < len(value):
        return None
    members, taken = linear_sum_assignment(value, maximize=True)
    if np.any(value[members, taken] <= -IMPOSSIBLE / 2) or needed[taken].sum() < problem.role_min.sum():
        return None
    return tuple(int(role) for role in slots[taken])


def best_look_within(problem: Problem, chosen: Sequence[int], low: Floats, high: Floats) -> Floats | None:
    """Return the look [K] of least effort that lies in the box ``low``..``high`` and in everyone's reach, or None.

    On each axis the effort is convex, so the best points inside an interval are found among its kinks and the ends.
    """
    least, most = look_window(problem, chosen)
    least, most = np.maximum(least, low), np.minimum(most, high)
    if np.any(least > most + FEASIBILITY_TOLERANCE):
        return None
    most = np.maximum(least, most)
    tone = problem.tone[np.asarray(chosen)]
    look = np.empty(len(least))
    for axis, slack in enumerate(problem.tone_slack):
        kinks = np.concatenate([tone[:, axis] - slack, tone[:, axis] + slack, [least[axis], most[axis]]])
        kinks = np.clip(kinks[np.isfinite(kinks)], least[axis], most[axis])
        effort = np.maximum(0.0, np.abs(tone[:, axis][:, None] - kinks) - slack).sum(axis=0)
        flat = kinks[effort <= effort.min() + 1e-12]
        look[axis] = (flat.min() + flat.max()) / 2
    return look


def polished(
    problem: Problem, chosen: Sequence[int], boxes: Sequence[tuple[Floats, Floats]] = (), bound: float = np.inf
) -> Choice | None:
    """Return the set with its best roles, look and score, members in ascending order; None where it breaks a rule."""
    members = tuple(sorted(int(item) for item in chosen))
    roles = best_roles(problem, members)
    if roles is None:
        return None
    axes = problem.tone.shape[1]
    answers = []
    for low, high in boxes or [(np.full(axes, -np.inf), np.full(axes, np.inf))]:
        look = best_look_within(problem, members, low, high)
        if look is not None and not broken_rules(problem, members, roles, look.tolist()):
            answers.append((score_terms(problem, members, roles, look.tolist()).score, tuple(look.tolist())))
    if not answers:
        return None
    score, look_found = max(answers)
    return Choice(members, roles, look_found, score, max(bound, score))
