"""The best sets with another frame in one place and all other members kept: every candidate is scored, so it is exact.

The role stays that of the place, the look is chosen anew. What the frame could do in a set built around it is another
question: the problem with the frame wished in.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.solution import Choice
from setsolver.domain.validate import FEASIBILITY_TOLERANCE, best_look, broken_rules, score_terms
from setsolver.solver.compiled import NOTHING

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from setsolver.domain.problem import Floats, Ints, Problem

__all__ = ["Swap", "gains", "swaps"]


@dataclass(frozen=True)
class Swap:
    """A set with one member changed.

    Attributes
    ----------
    row : the rendition that comes in. points : gained by it; below 0 where points are lost.
    choice : the set, of kind "swap"; its bound is its score, as no other look or rendition of the frame serves better.
    """

    row: int
    points: float
    choice: Choice


def swaps(problem: Problem, choice: Choice, place: int, most: int = 10) -> list[Swap]:
    """Return the best sets with another frame at a place, the best first, one a frame.

    Parameters
    ----------
    choice : a set that keeps the rules. place : of ``choice.chosen``, 0 to N - 1. most : how many at most.

    Raises
    ------
    ValueError
        For a place that the set does not have.
    """
    if not 0 <= place < len(choice.chosen):
        raise ValueError(f"place {place}: the set has places 0 to {len(choice.chosen) - 1}")
    others = np.array([row for at, row in enumerate(choice.chosen) if at != place], dtype=np.int64)
    leaving, role = choice.chosen[place], choice.roles[place]
    fit = _fitting(problem, others, leaving, role)
    rows = np.flatnonzero(fit)
    if len(rows) == 0:
        return []
    worth = _worth(problem, others, rows, role)
    found: list[Swap] = []
    seen: set[int] = set()
    for at in np.lexsort((rows, -worth)):
        frame = int(problem.frame[rows[at]])
        if worth[at] <= NOTHING or len(found) == most:
            break
        if frame in seen:
            continue
        swapped = _with(problem, choice, place, int(rows[at]))
        if swapped is not None:
            seen.add(frame)
            found.append(Swap(int(rows[at]), swapped.score - choice.score, swapped))
    return sorted(found, key=lambda swap: -swap.points)


def gains(problem: Problem, choice: Choice) -> tuple[Ints, Floats]:
    """Return the frames that could take a place of a set, all others kept, and what the best place gains for each.

    The same points as those of ``swaps``, for every frame at once.
    """
    best: Floats = np.full(int(problem.frame.max(initial=-1)) + 1, NOTHING)
    for place, (leaving, role) in enumerate(zip(choice.chosen, choice.roles, strict=True)):
        others = np.array([row for at, row in enumerate(choice.chosen) if at != place], dtype=np.int64)
        rows = np.flatnonzero(_fitting(problem, others, leaving, role))
        if len(rows):
            worth = _worth(problem, others, np.append(rows, leaving), role)
            np.maximum.at(best, problem.frame[rows], worth[:-1] - worth[-1])
    frames = np.flatnonzero(best > NOTHING / 2)
    return frames, best[frames]


def _worth(problem: Problem, others: Ints, rows: Ints, role: int) -> Floats:
    """Return the points [m] that each newcomer brings in a role, less everybody's effort; ``NOTHING`` out of reach."""
    effort, reached = _least_effort(problem, others, rows)
    worth = problem.gain[rows, role] - effort + _variety(problem, others, rows)
    return np.where(reached, worth, NOTHING)


def _fitting(problem: Problem, others: Ints, leaving: int, role: int) -> NDArray[np.bool_]:
    """Return which renditions [M] may stand beside the others in the role, looks aside."""
    frames = problem.frame[others]
    barred = np.concatenate([problem.exclude, frames, problem.frame[[leaving]]])
    meets = np.isin(problem.conflict, frames)
    barred = np.concatenate([barred, problem.conflict[meets[:, ::-1]]])
    fit = ~np.isnan(problem.gain[:, role]) & ~np.isin(problem.frame, barred)
    for labels, cap in zip(problem.group, problem.group_cap, strict=True):
        held = labels[others]
        values, counts = np.unique(held[held >= 0], return_counts=True)
        fit &= ~np.isin(labels, values[counts >= cap])
        if cap <= 0:
            fit &= labels < 0
    if problem.frame[leaving] in problem.include:  # a wished frame stays
        fit[:] = False
    return np.asarray(fit)


def _least_effort(problem: Problem, others: Ints, rows: Ints) -> tuple[Floats, NDArray[np.bool_]]:
    """Return the points of effort [m] of others and each newcomer at their best look, and whether one look serves all.

    The slope of the joint effort grows by 1 at every kink tone -+ slack, from -N: it is flat between the middle two.
    """
    total, reached = np.zeros(len(rows)), np.ones(len(rows), dtype=np.bool_)
    size = len(others) + 1
    for axis, slack in enumerate(problem.tone_slack):
        new = problem.tone[rows, axis]
        tones = np.concatenate([np.broadcast_to(problem.tone[others, axis], (len(rows), size - 1)), new[:, None]], 1)
        width = problem.tone_reach[axis] + slack
        low, high = tones.max(axis=1) - width, tones.min(axis=1) + width
        reached &= low <= high + FEASIBILITY_TOLERANCE
        kinks = np.partition(np.concatenate([tones - slack, tones + slack], axis=1), (size - 1, size), axis=1)
        look = np.clip(kinks[:, size - 1], low, np.maximum(low, high))
        away = np.maximum(0.0, np.abs(tones - look[:, None]) - slack)
        total += problem.tone_weight[axis] * away.sum(axis=1)
    return total, reached


def _variety(problem: Problem, others: Ints, rows: Ints) -> Floats:
    """Return the points [m] of the distances of each newcomer to the others."""
    apart = ((problem.place[rows][:, None, :] - problem.place[others][None, :, :]) ** 2).sum(axis=2)
    if problem.variety_kind == "euclidean":
        apart = np.sqrt(apart)
    return np.asarray(apart.sum(axis=1) * (problem.variety_weight / max(1, problem.size - 1)))


def _with(problem: Problem, choice: Choice, place: int, row: int) -> Choice | None:
    """Return the set with a rendition at the place, members in ascending order; None where it breaks a rule."""
    pairs = [
        (row, role) if at == place else (kept, role)
        for at, (kept, role) in enumerate(zip(choice.chosen, choice.roles, strict=True))
    ]
    chosen, roles = zip(*sorted(pairs), strict=True)
    look = best_look(problem, chosen)
    if look is None or broken_rules(problem, chosen, roles, look.tolist()):
        return None
    score = score_terms(problem, chosen, roles, look.tolist()).score
    return Choice(chosen, roles, tuple(look.tolist()), score, score, "swap")
