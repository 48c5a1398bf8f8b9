"""Frames that do not exist yet, as rows of a problem: what the shortfall of a brief is reckoned with.

A wish frame can play one role, has the tone of a frame that exists, and belongs to no moment or scene. All wish frames
share one label in a group row of their own, whose cap says how many may be in; so the least number of frames to shoot
is the smallest cap under which a set exists.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from scipy.cluster.vq import kmeans2

if TYPE_CHECKING:
    from setsolver.domain.problem import Floats, Ints, Problem
    from setsolver.usecases.modest import Asked

__all__ = ["Wished", "with_wishes"]

TONES = 12
"""Tones at which each role is wished for: enough to fall inside any reach of practice, few enough to search fast."""


class Wished(NamedTuple):
    """A problem with wish frames. first : row of the first wish frame; role : int64[W], what each wish row plays."""

    problem: Problem
    first: int
    role: Ints

    def capped(self, most: int) -> Problem:
        """Return the problem with at most so many wish frames."""
        caps = self.problem.group_cap.copy()
        caps[-1] = most
        return self.problem.replaced(group_cap=caps)


def with_wishes(problem: Problem, asked: Asked, gain: float, seed: int = 0) -> Wished:
    """Return the problem, asking for what is asked, with wish frames for every role at typical tones.

    Each wish frame is worth ``gain`` points. The problem itself may ask for less, where it holds too few frames.
    """
    tones = _tones(problem.tone, seed)
    roles = len(problem.role_min)
    role = np.repeat(np.arange(roles), len(tones) * asked.size)
    tone = np.tile(np.repeat(tones, asked.size, axis=0), (roles, 1))
    gains = np.full((len(role), roles), np.nan)
    gains[np.arange(len(role)), role] = gain
    groups = np.pad(problem.group, ((0, 1), (0, len(role))), constant_values=-1)
    groups[-1, problem.renditions :] = 0
    caps = np.append(problem.group_cap, asked.size)
    place = np.zeros((len(role), problem.place.shape[1]))
    more = problem.append(gains, tone, place, group=groups, group_cap=caps, **asked._asdict())
    return Wished(more, problem.renditions, role)


def _tones(tone: Floats, seed: int) -> Floats:
    """Return up to TONES tones that frames of the catalog have, spread over all of them; zeros where it has none."""
    if len(tone) == 0:
        return np.zeros((1, tone.shape[1]))
    tone = np.unique(tone, axis=0)
    if len(tone) <= TONES:
        return tone
    centres, _ = kmeans2(tone, TONES, minit="++", rng=np.random.default_rng(seed))
    nearest = np.linalg.norm(tone[None] - centres[:, None], axis=2).argmin(axis=1)
    return np.asarray(tone[np.unique(nearest)])
