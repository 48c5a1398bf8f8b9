"""Score and check a set from the problem alone, by code that knows no solver.

Every solver test calls these functions; so does the ledger. They follow the formula of the README term by term and are
written for plainness, not for speed. ``phi`` says the same of a problem that has no weights yet: the score is the sum
of weight times ``phi`` over the terms.
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from setsolver.domain.problem import Floats, Problem
    from setsolver.domain.unweighted import Unweighted

__all__ = ["Broken", "Terms", "best_look", "broken", "broken_rules", "effort_of", "look_window", "phi", "score_terms"]

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
    tone = problem.tone[np.asarray(chosen, dtype=np.int64)]
    axes = zip(tone.T, problem.tone_slack, problem.tone_reach, strict=True)
    return np.array([_least_effort(value, float(slack), float(reach)) for value, slack, reach in axes])


def _least_effort(value: Floats, slack: float, reach: float) -> float:
    """Return the level of least effort for values [N] on one axis, in everyone's reach where there is such a level."""
    low, high = value.max() - reach - slack, value.min() + reach + slack
    high = max(low, high)
    kinks = np.concatenate([value - slack, value + slack, [low, high]])
    kinks = np.clip(kinks[np.isfinite(kinks)], low, high)
    effort = np.maximum(0.0, np.abs(value[:, None] - kinks) - slack).sum(axis=0)
    flat = kinks[effort <= effort.min() + 1e-12]
    return float((flat.min() + flat.max()) / 2)


class Broken(NamedTuple):
    """A rule that a set breaks: its key in the problem with the index, what was found, and what was wanted."""

    rule: str
    found: str
    wanted: str = ""

    def __str__(self) -> str:
        return f"{self.rule}: {self.found}" + (f", {self.wanted}" if self.wanted else "")


def broken_rules(problem: Problem, chosen: Sequence[int], roles: Sequence[int], look: Sequence[float]) -> list[str]:
    """Return every rule that the set breaks as a line that begins with its key and index; empty for a valid set."""
    return [str(rule) for rule in broken(problem, chosen, roles, look)]


def broken(problem: Problem, chosen: Sequence[int], roles: Sequence[int], look: Sequence[float]) -> list[Broken]:
    """Return every rule that the set breaks; empty for a valid set."""
    index = np.asarray(chosen, dtype=np.int64)
    frames = problem.frame[index]
    found: list[Broken] = []
    if len(index) != problem.size:
        found.append(Broken("size", f"{len(index)} chosen", f"{problem.size} wanted"))
    if len(set(frames.tolist())) != len(frames):
        found.append(Broken("frame", "a frame is in twice"))
    found += _broken_roles(problem, index, roles)
    away = np.abs(problem.tone[index] - np.asarray(look, dtype=np.float64)) - problem.tone_slack - problem.tone_reach
    beyond = np.flatnonzero((away > FEASIBILITY_TOLERANCE).any(axis=0))
    found += [Broken(f"tone_reach[{k}]", "out of reach") for k in beyond]
    for row, cap in enumerate(problem.group_cap):
        labels = problem.group[row, index]
        counts = np.bincount(labels[labels >= 0]) if np.any(labels >= 0) else np.zeros(1, dtype=np.int64)
        if counts.max() > cap:
            found.append(Broken(f"group_cap[{row}]", str(counts.max()), f"at most {cap}"))
    parted = problem.conflict[np.isin(problem.conflict, frames).all(axis=1)]  # of millions that a large shoot may have
    pairs = {pair for a, b in parted.tolist() for pair in ((a, b), (b, a))}
    found += [Broken("conflict", f"frames {a} and {b}") for a, b in combinations(frames.tolist(), 2) if (a, b) in pairs]
    found += [Broken("include", f"frame {f} is missing") for f in problem.include if f not in frames]
    return found + [Broken("exclude", f"frame {f} is in") for f in problem.exclude if f in frames]


def _broken_roles(problem: Problem, index: np.ndarray, roles: Sequence[int]) -> list[Broken]:
    found = [
        Broken(f"gain[{i}, {r}]", "cannot play this role")
        for i, r in zip(index, roles, strict=True)
        if np.isnan(problem.gain[i, r])
    ]
    counts = np.bincount(np.asarray(roles, dtype=np.int64), minlength=len(problem.role_min))
    for role, count in enumerate(counts):
        if count < problem.role_min[role]:
            found.append(Broken(f"role_min[{role}]", str(count), f"at least {problem.role_min[role]}"))
        if count > problem.role_max[role]:
            found.append(Broken(f"role_max[{role}]", str(count), f"at most {problem.role_max[role]}"))
    return found


def phi(
    parts: Unweighted, chosen: Sequence[int], roles: Sequence[int], look: Sequence[float] | Floats | None = None
) -> dict[str, float]:
    """Return what a set is worth to each term before weights, by the term's name; rules are not checked here.

    A gain term gives the sum over its members, 0 to N. An axis term gives minus the effort beyond the slack, summed
    over members and its axes. A place term gives the sum over pairs of squared distance, divided by N - 1.

    Parameters
    ----------
    look : a value for each axis; NaN, or None for all, means the look of least effort.
    """
    index = np.asarray(chosen, dtype=np.int64)
    worth = {term: float(part[index, np.asarray(roles, dtype=np.int64)].sum()) for term, part in parts.gains.items()}
    for place in parts.places:
        at = place.at[index]
        distance = ((at[:, None, :] - at[None, :, :]) ** 2).sum(axis=2)
        worth[place.term] = float(np.triu(distance, 1).sum()) / max(1, len(index) - 1)
    for number, axis in enumerate(parts.axes):
        level = np.nan if look is None else float(look[number])
        effort = effort_of(axis.value[index], axis.slack, axis.reach, level)
        worth[axis.term] = worth.get(axis.term, 0.0) - float(effort.sum())
    return worth


def effort_of(value: Floats, slack: float, reach: float, level: float = np.nan) -> Floats:
    """Return the effort beyond the slack, >= 0, of values [N] on one axis at a level of the look; NaN = the best."""
    if np.isnan(level):
        level = _least_effort(value, slack, reach)
    return np.maximum(0.0, np.abs(value - level) - slack)
