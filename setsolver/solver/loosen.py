"""The smallest loosening of one rule, all others kept, under which a set exists. Exact, or said to be unknown."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from setsolver.solver.feasible import Verdict, possible
from setsolver.solver.ruleset import Rule, Ruleset

if TYPE_CHECKING:
    from collections.abc import Callable

    from setsolver.domain.problem import Floats, Problem

__all__ = ["Loosened", "loosened"]

MOST_DIFFERENCES = 1_000_000
"""Up to so many tone differences are listed to take their median; above, the middle of their range is asked."""


@dataclass(frozen=True)
class Loosened:
    """The rule's new ``value``, None where no value helps; ``sure`` False where time ran out (value is then None).

    For ``gain[:,r]`` the value is how many more renditions would have to be able to play the role; for an include, an
    exclude or a conflict it is 0: dropped.
    """

    value: float | None
    sure: bool = True


class _Unknown(Exception):  # noqa: N818 - leaves the search, never this file
    """Time ran out inside a question."""


def loosened(problem: Problem, rule: Rule, *, seed: int = 0, deadline: float | None = None) -> Loosened:
    """Return the smallest loosening of ``rule`` alone under which ``problem`` has a set.

    Parameters
    ----------
    deadline : moment of ``time.perf_counter()`` at which to give up.
    """

    def ask(rules: Ruleset) -> Verdict:
        verdict = possible(rules, seed=seed, deadline=deadline)
        if verdict.answer is None:
            raise _Unknown
        return verdict

    full = Ruleset.of(problem)
    try:
        freed = ask(full.without([rule]))
        if not freed.answer:
            return Loosened(None)
        return Loosened(_value(problem, full, rule, freed, ask))
    except _Unknown:
        return Loosened(None, sure=False)


def _value(problem: Problem, full: Ruleset, rule: Rule, freed: Verdict, ask: Callable[[Ruleset], Verdict]) -> float:
    if rule.key == "size":
        return float(_nearest_size(problem, full, ask))
    if rule.key == "tone_reach":
        return _least_reach(problem, full, rule.at or 0, freed, ask)
    if rule.key not in _STEPS:
        return 0.0
    name, start, sign = _STEPS[rule.key]
    now = 0 if start is None else int(getattr(problem, start)[rule.at])
    enough = now if rule.key == "role_min" else problem.size - now

    def loosen(steps: int) -> bool:
        array = np.array(getattr(full, name))
        array[rule.at] = now + sign * steps
        changes: dict[str, Any] = {name: array}
        return bool(ask(replace(full, **changes)).answer)

    return float(now + sign * _first(enough, loosen))


_STEPS = {
    "role_min": ("role_min", "role_min", -1),
    "role_max": ("role_max", "role_max", +1),
    "group_cap": ("group_cap", "group_cap", +1),
    "gain": ("strangers", None, +1),
}
"""Rule key -> (array of the ruleset, array of the problem with its value now, direction of loosening)."""


def _first(most: int, holds: Callable[[int], bool]) -> int:
    """Return the least number of steps 1..most for which ``holds``, which is monotone and holds at ``most``."""
    low = 0
    while most - low > 1:
        middle = (low + most) // 2
        low, most = (low, middle) if holds(middle) else (middle, most)
    return most


def _nearest_size(problem: Problem, full: Ruleset, ask: Callable[[Ruleset], Verdict]) -> int:
    """Return the possible size nearest to the one wanted, the smaller of two equally near."""
    size, below, above = problem.size, 0, 0
    while below + 1 < size:  # each set found raises the floor until none is nearer
        verdict = ask(replace(full, size_min=below + 1, size_max=size - 1))
        if not verdict.answer:
            break
        below = len(verdict.chosen)
    ceiling = 2 * size - below if below else len(np.unique(problem.frame)) + 1  # only a nearer size is of interest
    while size + 1 < ceiling:
        verdict = ask(replace(full, size_min=size + 1, size_max=ceiling - 1))
        if not verdict.answer:
            break
        ceiling = above = len(verdict.chosen)
    return above or below


def _least_reach(
    problem: Problem, full: Ruleset, axis: int, freed: Verdict, ask: Callable[[Ruleset], Verdict]
) -> float:
    """Return the least reach on one axis: half the least spread of any set's tones, less the slack.

    That spread is the difference of two tones, so the search ends when no difference lies between what is known to be
    too small and what a set has shown to be enough.
    """
    tone = np.unique(problem.tone[:, axis])

    def spread(verdict: Verdict) -> float:
        return float(np.ptp(problem.tone[list(verdict.chosen), axis]))

    small, enough = 2.0 * float(full.width[axis]), spread(freed)
    while (middle := _between(tone, small, enough)) is not None:
        width = full.width.copy()
        width[axis] = middle / 2
        verdict = ask(replace(full, width=width))
        small, enough = (small, spread(verdict)) if verdict.answer else (middle, enough)
    return float(enough / 2 - problem.tone_slack[axis])


ROUNDING = 4e-9
"""Differences nearer than this to one already judged are the same: twice what feasibility forgives."""


def _between(tone: Floats, small: float, enough: float) -> float | None:
    """Return a middling difference of two tones clearly between the two values, or None where there is none."""
    low, high = small + ROUNDING, enough - ROUNDING
    first = np.searchsorted(tone, tone + low, side="right")
    stop = np.maximum(first, np.searchsorted(tone, tone + high, side="left"))
    count = int((stop - first).sum())
    if count == 0:
        return None
    if count > MOST_DIFFERENCES:
        return (low + high) / 2
    start = np.repeat(np.arange(len(tone)), stop - first)
    offset = np.arange(count) - np.repeat(np.cumsum(stop - first) - (stop - first), stop - first)
    differences = tone[first[start] + offset] - tone[start]
    return float(np.partition(differences, count // 2)[count // 2])
