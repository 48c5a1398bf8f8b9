"""The same problem as a mixed integer program for HiGHS, where it is linear: a second opinion that shares no code."""

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

__all__ = ["by_highs"]


def by_highs(problem):  # noqa: C901 - one model, written out
    """Return the optimum of a problem without variety, by HiGHS through scipy, an independent solver.

    Binary x[i, r], free look l[k], effort e[i, k] >= |tone - l| - slack - big * (1 - sum_r x[i, r]).
    """
    total, roles = problem.gain.shape
    axes = problem.tone.shape[1]
    pairs, efforts = total * roles, total * axes
    width = pairs + axes + efforts
    gain = np.where(np.isnan(problem.gain), 0, problem.gain)
    cost = np.concatenate([-gain.ravel(), np.zeros(axes), np.tile(problem.tone_weight, total)])
    rows, low, high = [], [], []

    def add(row, least, most):
        rows.append(row)
        low.append(least)
        high.append(most)

    def members(mark):
        row = np.zeros(width)
        row[:pairs] = np.repeat(mark, roles)
        return row

    add(members(np.ones(total)), problem.size, problem.size)
    for role in range(roles):
        row = np.zeros(width)
        row[role:pairs:roles] = 1
        add(row, problem.role_min[role], problem.role_max[role])
    for frame in np.unique(problem.frame):
        add(members(problem.frame == frame), 0, 1)
    for labels, cap in zip(problem.group, problem.group_cap, strict=True):
        for label in np.unique(labels[labels >= 0]):
            add(members(labels == label), 0, cap)
    for pair in problem.conflict:
        add(members(np.isin(problem.frame, pair)), 0, 1)
    for i in range(total):
        for k in range(axes):
            span = 2 * np.ptp(problem.tone[:, k]) + 1
            for sign in (1, -1):
                row = np.zeros(width)
                row[i * roles : (i + 1) * roles] = span
                row[pairs + k] = sign
                reach = row.copy()
                row[pairs + axes + i * axes + k] = -1
                add(row, -np.inf, span + sign * problem.tone[i, k] + problem.tone_slack[k])
                most = problem.tone_slack[k] + problem.tone_reach[k]
                add(reach, -np.inf, span + sign * problem.tone[i, k] + most)
    playable = (~np.isnan(problem.gain)).ravel().astype(float)
    ends = problem.tone.min(axis=0), problem.tone.max(axis=0)
    least = np.concatenate([np.zeros(pairs), ends[0], np.zeros(efforts)])
    most = np.concatenate([playable, ends[1], np.full(efforts, np.inf)])
    result = milp(
        cost,
        constraints=LinearConstraint(np.array(rows), low, high),
        bounds=Bounds(least, most),
        integrality=np.concatenate([np.ones(pairs), np.zeros(axes + efforts)]),
        options={"mip_rel_gap": 1e-9},
    )
    return -result.fun if result.success else -np.inf
