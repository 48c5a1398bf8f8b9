"""Sets of roles and how many renditions each must get: what counting knows of a problem."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.distinct import distinct

if TYPE_CHECKING:
    from setsolver.domain.problem import Ints
    from setsolver.solver.ruleset import Ruleset

__all__ = ["scarcest", "teams_of"]

MOST_ROLES = 6
"""Up to here every set of roles is counted (2^R); above, single roles, all but one, and all."""


def teams_of(rules: Ruleset) -> tuple[Ints, Ints, Ints]:
    """Return each rendition's bits and, for sets of roles as bit masks, how many must be able to play one of them.

    A set T of roles must fill at least its own minima and what the other roles' maxima leave of the size, less the
    strangers that it may take. By Rado's theorem these counts are sufficient too where all caps nest and nothing else
    is asked. The highest bit is everybody's.
    """
    roles = len(rules.role_min)
    able = (rules.playable & (rules.role_max > 0)) @ (1 << np.arange(roles)) + (1 << roles)
    everyone = (1 << roles) - 1
    if roles <= MOST_ROLES:
        teams = list(range(everyone + 1))
    else:
        teams = sorted({0, everyone, *(1 << r for r in range(roles)), *(everyone ^ (1 << r) for r in range(roles))})
    inside = (np.array(teams)[:, None] >> np.arange(roles)) & 1
    most = np.minimum(rules.role_max, rules.size_min)
    needs = np.maximum(inside @ rules.role_min, rules.size_min - (1 - inside) @ most) - inside @ rules.strangers
    return able, np.array([*teams, 1 << roles]), np.append(needs, rules.size_min)


def scarcest(rules: Ruleset, able: Ints, teams: Ints, needs: Ints) -> Ints:
    """Return the frames of the scarcest team that misses somebody: at least one of them is in; empty for none."""
    wished = np.isin(rules.frame, rules.include)
    usable = ~np.isin(rules.frame, rules.exclude) & ~wished
    choices: list[tuple[float, int, Ints]] = []
    for team, need in zip(teams, needs, strict=True):
        missing = need - len(distinct(rules.frame[wished & (able & team > 0)]))
        if missing > 0:
            frames = distinct(rules.frame[usable & (able & team > 0)])
            choices.append((len(frames) / missing, len(choices), frames))
    return min(choices)[2] if choices else np.zeros(0, dtype=np.int64)
