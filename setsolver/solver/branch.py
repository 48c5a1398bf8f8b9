"""Where to split a node: on the look axis that hides the most cost, else on the frame whose absence costs the most."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from setsolver.solver.compiled import step
from setsolver.solver.lookspace import least_effort

if TYPE_CHECKING:
    from setsolver.solver.instance import Tones
    from setsolver.solver.workspace import Work

__all__ = ["ON_FRAME", "ON_LOOK", "frame_branch", "look_branch", "seek_branch"]

ON_FRAME = 0
ON_LOOK = 1
QUARTER = 0.25  # a split leaves each side at least a quarter of the box
NARROW = 1e-6
ENDLESS = 1e17  # stands for a reach without end
SEEK_APART = 2.5  # reaches; within twice the reach any two candidates can share a look


@step
def look_branch(tones: Tones, work: Work, n: int, m: int) -> tuple[int, float, float]:
    """Return (axis, look to split at, hidden points) of the axis on which the set pays least of what it owes.

    ``work.trial`` holds members and picked. Hidden is their least joint effort in the box less what the bound charges;
    ``corners.hidden`` is filled with that of every axis.
    """
    axis_found, split, most = -1, 0.0, 0.0
    for axis in range(work.low.shape[0]):
        low, high, slack = work.low[axis], work.high[axis], tones.slack[axis]
        extent = high - low
        work.corners.hidden[axis] = 0.0
        if extent <= NARROW or tones.weight[axis] == 0.0:
            continue
        owed, look = least_effort(tones.tone, work.trial, n + m, axis, low, high, slack, work.kink)
        flat_from, flat_to, charged = low, high, 0.0
        if n > 0:
            charged, _ = least_effort(tones.tone, work.trial, n, axis, low, high, slack, work.kink)
            flat_from = min(max(work.kink[n - 1], low), high)
            flat_to = min(max(work.kink[n], low), high)
        for b in range(n, n + m):
            tone = tones.tone[work.trial[b], axis]
            charged += max(0.0, tone - slack - flat_to, flat_from - tone - slack)
        hidden = tones.weight[axis] * (owed - charged)
        work.corners.hidden[axis] = hidden
        if hidden > most:
            axis_found, most = axis, hidden
            split = min(max(look, low + QUARTER * extent), high - QUARTER * extent)
    return axis_found, split, most


@step
def seek_branch(tones: Tones, work: Work, left: int) -> tuple[int, float]:
    """Return (axis, middle of its box) where candidates lie too far apart for one look, -1 where they do on no axis.

    While no set at all is known, boxes whose candidates all reach one another show soonest where none can be.
    """
    axis_found, split, most = -1, 0.0, SEEK_APART
    for axis in range(work.low.shape[0]):
        width = tones.width[axis]
        if work.high[axis] - work.low[axis] <= NARROW or width > ENDLESS:
            continue
        least, greatest = np.inf, -np.inf
        for j in range(left):
            least = min(least, tones.tone[work.alive[j], axis])
            greatest = max(greatest, tones.tone[work.alive[j], axis])
        apart = (greatest - least) / max(width, NARROW)
        if apart > most:
            axis_found, most = axis, apart
            split = 0.5 * (work.low[axis] + work.high[axis])
    return axis_found, split


@step
def frame_branch(work: Work, m: int) -> tuple[int, float]:
    """Return (position in ``top`` of the picked candidate whose loss is greatest, that loss)."""
    at, most = 0, -1.0
    for b in range(m):
        if work.loss[work.top[b]] > most:
            at, most = b, work.loss[work.top[b]]
    return at, most
