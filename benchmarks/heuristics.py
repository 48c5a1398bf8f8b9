"""What one would write in an afternoon: greedy choice, and greedy choice followed by swaps. Good sets, no bound."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from setsolver.domain.validate import FEASIBILITY_TOLERANCE, best_look, score_terms

if TYPE_CHECKING:
    from setsolver.domain.problem import Problem


class Members(NamedTuple):
    """Renditions and the role of each."""

    chosen: list[int]
    roles: list[int]


def greedy(problem: Problem) -> Members | None:
    """Add the rendition and role of most points, one after another; None where that runs into a dead end."""
    members = Members([], [])
    for _ in range(problem.size):
        worth = additions(problem, members)
        item, role = np.unravel_index(int(np.argmax(worth)), worth.shape)
        if worth[item, role] == -np.inf:
            return None
        members = Members([*members.chosen, int(item)], [*members.roles, int(role)])
    return members


def swapped(problem: Problem, members: Members) -> Members:
    """Exchange one member for another as long as that gains points, the best exchange first."""
    best = score(problem, members)
    while True:
        candidates = []
        for place in range(problem.size):
            rest = Members(_without(members.chosen, place), _without(members.roles, place))
            worth = additions(problem, rest)
            item, role = np.unravel_index(int(np.argmax(worth)), worth.shape)
            candidates.append((float(worth[item, role]), Members([*rest.chosen, int(item)], [*rest.roles, int(role)])))
        worth, found = max(candidates, key=lambda pair: pair[0])
        if worth <= best + 1e-9:
            return members
        best, members = worth, found


def score(problem: Problem, members: Members) -> float:
    """Return a set's points at its best look."""
    look = best_look(problem, members.chosen)
    return -np.inf if look is None else score_terms(problem, members.chosen, members.roles, look).score


def additions(problem: Problem, members: Members) -> np.ndarray:
    """Return float[M, R]: the points of the set with rendition i in role r added; -inf where a rule forbids it."""
    index = np.array(members.chosen, dtype=np.int64)
    gained = problem.gain[index, members.roles].sum() if len(index) else 0.0
    spread = np.array([_variety(problem, index, index)]).sum() / 2 + _variety(
        problem, np.arange(problem.renditions), index
    )
    worth = np.where(np.isnan(problem.gain), -np.inf, problem.gain) + gained + spread[:, None]
    worth = worth - _efforts(problem, index)[:, None]
    worth[~_allowed(problem, index)] = -np.inf
    worth[:, ~_open_roles(problem, members.roles)] = -np.inf
    return worth


def _variety(problem: Problem, items: np.ndarray, index: np.ndarray) -> np.ndarray:
    """Return the variety points between each item and all of ``index``."""
    apart = ((problem.place[items][:, None] - problem.place[index][None]) ** 2).sum(axis=2)
    apart = np.sqrt(apart) if problem.variety_kind == "euclidean" else apart
    return apart.sum(axis=1) * problem.variety_weight / max(1, problem.size - 1)


def _efforts(problem: Problem, index: np.ndarray) -> np.ndarray:
    """Return the effort of the set with each rendition added at its best look; inf where no look is in reach."""
    total, width = np.zeros(problem.renditions), problem.tone_reach + problem.tone_slack
    for k, (slack, weight) in enumerate(zip(problem.tone_slack, problem.tone_weight, strict=True)):
        old = np.broadcast_to(problem.tone[index, k], (problem.renditions, len(index)))
        tone = np.concatenate([old, problem.tone[:, k : k + 1]], axis=1)
        low, high = tone.max(axis=1) - width[k], tone.min(axis=1) + width[k]
        total[low > high + FEASIBILITY_TOLERANCE] = np.inf
        kinks = np.concatenate([tone - slack, tone + slack], axis=1)
        kinks = np.clip(kinks, low[:, None], np.maximum(low, high)[:, None])
        away = np.maximum(0.0, np.abs(tone[:, None, :] - kinks[:, :, None]) - slack)
        total += weight * away.sum(axis=2).min(axis=1)
    return total


def _allowed(problem: Problem, index: np.ndarray) -> np.ndarray:
    """True [M] where frames, groups, conflicts and wishes let a rendition in beside ``index``."""
    allowed = ~np.isin(problem.frame, np.append(problem.exclude, problem.frame[index]))
    for labels, cap in zip(problem.group, problem.group_cap, strict=True):
        full = [label for label in np.unique(labels[index]) if label >= 0 and (labels[index] == label).sum() >= cap]
        allowed &= ~np.isin(labels, full) & ((labels < 0) | (cap > 0))
    hit = np.isin(problem.conflict, problem.frame[index])
    allowed &= ~np.isin(problem.frame, np.append(problem.conflict[hit[:, 0], 1], problem.conflict[hit[:, 1], 0]))
    missing = np.setdiff1d(problem.include, problem.frame[index])
    if len(missing) >= problem.size - len(index):
        allowed &= np.isin(problem.frame, missing)
    return allowed


def _open_roles(problem: Problem, roles: list[int]) -> np.ndarray:
    """True [R] for roles that may still be given, so that every least count can still be met."""
    count = np.bincount(np.array(roles, dtype=np.int64), minlength=len(problem.role_min))
    missing = np.maximum(0, problem.role_min - count)
    if missing.sum() >= problem.size - len(roles):
        return missing > 0
    return count < problem.role_max


def _without(values: list[int], place: int) -> list[int]:
    return values[:place] + values[place + 1 :]
