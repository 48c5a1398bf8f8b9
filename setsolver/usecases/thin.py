"""Where a set is thinnest: which role one more good frame would help most."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from setsolver.rules.words import count
from setsolver.usecases.effort import Effort

if TYPE_CHECKING:
    from setsolver.domain.problem import Floats, Problem
    from setsolver.domain.solution import Choice
    from setsolver.rules import Assembly

__all__ = ["thin_roles", "worth_of"]

GOOD = 90
"""A frame still to be shot is taken to be worth this percentile of the gains of the frames that there are."""
LEAST_SAID = 0.05
"""Less would be said as 0.0 points."""


def worth_of(gain: Floats) -> float:
    """Return the points that a frame still to be shot is taken to be worth."""
    return float(np.nanpercentile(gain, GOOD)) if np.isfinite(gain).any() else 0.0


def thin_roles(assembly: Assembly, best: Choice, effort: Effort) -> list[dict[str, Any]]:
    """Return by role how many frames can play it and what one more good one would gain, the thinnest first."""
    rows = []
    for role, name in enumerate(slot.name for slot in assembly.slots):
        able = np.unique(assembly.problem.frame[~np.isnan(assembly.problem.gain[:, role])])
        gained = _one_more(assembly, best, role, effort)
        more = f"{gained:.1f} points" if gained >= LEAST_SAID else "nothing"
        says = f"{count(len(able), 'frame')} can be {name}; one more good one in this look would gain {more}"
        rows.append({"role": name, "frames": len(able), "points": gained, "says": says})
    return sorted(rows, key=lambda row: -row["points"])


def _one_more(assembly: Assembly, best: Choice, role: int, effort: Effort) -> float:
    """Return what a frame gains that plays the role as the better ones do, is in the look, and adds as much variety."""
    problem = assembly.problem
    gain = np.full((1, len(problem.role_min)), np.nan)
    gain[0, role] = worth_of(problem.gain[:, role])
    more = problem.append(gain, np.asarray(best.look).reshape(1, -1), _place_of(problem, best, role))
    better = effort.solve(more).best
    return max(0.0, better.score - best.score) if better else 0.0


def _place_of(problem: Problem, best: Choice, role: int) -> Floats:
    """Return the place of the set's worst paid frame in a role, [1, D]; zeros (near nothing) where it has none."""
    members = [row for row, played in zip(best.chosen, best.roles, strict=True) if played == role]
    if not members:
        return np.zeros((1, problem.place.shape[1]))
    return np.asarray(problem.place[[min(members, key=lambda row: float(problem.gain[row, role]))]])
