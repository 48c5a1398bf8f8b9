"""Frames that every set must hold, whatever it scores: where no more can play some roles than these roles need."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.distinct import distinct
from setsolver.solver.existence import rulesets_of
from setsolver.solver.teams import teams_of

if TYPE_CHECKING:
    from setsolver.domain.problem import Ints, Problem
    from setsolver.solver.restriction import Restriction

__all__ = ["forced_frames"]


def forced_frames(problem: Problem, question: Restriction) -> Ints:
    """Return the frames that a set must hold, wished ones among them.

    Where a role asks for three and three frames can play it, these are in. The search does not see that by its bounds;
    measured, 0.2 s for more than ten.
    """
    everyone = rulesets_of(problem, replace(question, boxes=()))[0]
    able, teams, needs = teams_of(everyone)
    usable = ~np.isin(problem.frame, everyone.exclude)
    forced = [problem.include]
    for team, need in zip(teams, needs, strict=True):
        frames = distinct(problem.frame[usable & (able & team > 0)])
        if len(frames) == need:
            forced.append(frames)
    return np.unique(np.concatenate(forced)).astype(np.int64)
