"""Which renditions may be in at all, given the frames that must be in and those that must not."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.validate import FEASIBILITY_TOLERANCE

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from setsolver.domain.problem import Ints
    from setsolver.solver.ruleset import Ruleset

__all__ = ["usable"]


def usable(rules: Ruleset, able: Ints) -> NDArray[np.bool_]:
    """True [M] for renditions that may be in: not excluded, of use in a role, at peace with every included frame."""
    roles = len(rules.role_min)
    fit = ~np.isin(rules.frame, rules.exclude)
    if not rules.strangers.any():
        fit &= (able & ((1 << roles) - 1)) > 0
    wished = np.isin(rules.conflict, rules.include)
    foes = np.concatenate([rules.conflict[wished[:, 0], 1], rules.conflict[wished[:, 1], 0]])
    fit &= ~np.isin(rules.frame, foes)
    included = np.isin(rules.frame, rules.include)
    for frame in rules.include:
        fit &= _in_reach_of(rules, np.flatnonzero(rules.frame == frame))
    for labels, cap in zip(rules.group, rules.group_cap, strict=True):
        for label in np.unique(labels[included & (labels >= 0)]):
            within = [f for f in rules.include if np.all(labels[rules.frame == f] == label)]
            if len(within) >= cap:  # wishes fill this group
                fit &= included | (labels != label)
    return fit


def _in_reach_of(rules: Ruleset, renditions: Ints) -> NDArray[np.bool_]:
    """True [M] for what fits one window with at least one of the renditions, by the comparison of ``look_window``."""
    low, high = rules.tone - rules.width, rules.tone + rules.width + FEASIBILITY_TOLERANCE
    fits = [np.all((low <= high[i]) & (low[i] <= high), axis=1) for i in renditions]
    near: NDArray[np.bool_] = np.logical_or.reduce(fits)
    return near
