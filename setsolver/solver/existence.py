"""Whether any set answers a question at all, whatever it scores."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.validate import FEASIBILITY_TOLERANCE
from setsolver.solver.feasible import Verdict, possible
from setsolver.solver.ready import make_ready
from setsolver.solver.ruleset import Ruleset

if TYPE_CHECKING:
    from setsolver.domain.problem import Floats, Problem
    from setsolver.solver.restriction import Restriction

__all__ = ["any_set", "rulesets_of"]


def any_set(problem: Problem, question: Restriction, *, seed: int = 0, deadline: float | None = None) -> Verdict:
    """Return whether a set keeps the problem's rules and the question's, with one as witness.

    Parameters
    ----------
    deadline : moment of ``time.perf_counter()`` at which to give up with answer None; time spent compiling is added.
    """
    waited = make_ready("clash")
    deadline = None if deadline is None else deadline + waited
    unknown = False
    for rules in rulesets_of(problem, question):
        verdict = possible(rules, seed=seed, deadline=deadline)
        if verdict.answer:
            return verdict
        unknown |= verdict.answer is None
    return Verdict(answer=None if unknown else False)


def rulesets_of(problem: Problem, question: Restriction) -> list[Ruleset]:
    """Return rules of which a set must keep one whole: those of the problem and the question, one for each look box.

    A set has a look in a box where its tones fit one window and each of its renditions reaches the box: intervals that
    meet two by two meet (Helly 1923).
    """
    full = Ruleset.of(problem)
    rows = [np.where(np.isin(problem.frame, sorted(frames)), 0, -1) for frames, _ in question.differ]
    full = replace(
        full,
        exclude=np.union1d(full.exclude, np.array(sorted(question.barred), dtype=np.int64)),
        group=np.vstack([full.group, *rows]).astype(np.int64),
        group_cap=np.append(full.group_cap, [most for _, most in question.differ]).astype(np.int64),
    )
    if not question.boxes:
        return [full]
    boxes = [box for box in question.boxes if np.all(np.asarray(box[0]) <= np.asarray(box[1]))]
    return [replace(full, playable=full.playable & _reaches(full, *box)[:, None]) for box in boxes]


def _reaches(rules: Ruleset, low: Floats, high: Floats) -> np.ndarray:
    """Return which renditions [M] some look of the box reaches."""
    near = (rules.tone - rules.width <= high + FEASIBILITY_TOLERANCE) & (
        rules.tone + rules.width >= low - FEASIBILITY_TOLERANCE
    )
    return np.asarray(near.all(axis=1))
