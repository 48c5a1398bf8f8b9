"""The whole problem handed to HiGHS as a mixed-integer program, with tangent cuts for the squared variety.

For sets of N the variety is ``N sum_i x_i |v_i|^2 - |s|^2`` with ``s = sum_i x_i v_i``. Each ``q_d >= s_d^2`` is
bounded below by tangents: evenly spaced ones first, then one at every point that a round finds, until nothing is left
to cut or the time is up. Euclidean variety has a variable z_ij for each pair instead, at most x_i and x_j, with
``sum_j z_ij = (N - 1) x_i``. Efforts are ``e_ik >= |tone - look| - slack`` where the rendition is in. The bound of
every round is valid.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from moments import Run, clock
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix

from setsolver.domain.validate import best_look, broken_rules, score_terms

if TYPE_CHECKING:
    from setsolver.domain.problem import Problem

TANGENTS = 25  # a dimension, to begin with
CLOSED = 1e-4  # a round that finds less than this to cut, relative to the score, ends the solve


class Rows:
    """Collects the rows of a sparse constraint matrix: low <= sum of value * variable <= high."""

    def __init__(self) -> None:
        self.row: list[int] = []
        self.column: list[int] = []
        self.value: list[float] = []
        self.low: list[float] = []
        self.high: list[float] = []

    def add(self, columns, values, low: float, high: float) -> None:
        """Add one row."""
        columns = list(columns)
        self.row += [len(self.low)] * len(columns)
        self.column += columns
        self.value += list(np.broadcast_to(values, len(columns)))
        self.low.append(low)
        self.high.append(high)

    def constraint(self, width: int) -> LinearConstraint:
        """Return the rows for so many columns."""
        matrix = coo_matrix((self.value, (self.row, self.column)), shape=(len(self.low), width)).tocsr()
        return LinearConstraint(matrix, self.low, self.high)


class Model:
    """Columns: plays (i, r), inside i, effort (i, k), look k, s_d, q_d, z_ij; rows grow by tangents."""

    def __init__(self, problem: Problem) -> None:
        self.problem, self.rows = problem, Rows()
        self.keys = np.argwhere(~np.isnan(problem.gain))
        total, axes, dims = problem.renditions, problem.tone.shape[1], problem.place.shape[1]
        self.pairs = problem.variety_kind == "euclidean" and problem.variety_weight > 0
        dims = 0 if self.pairs else dims
        self.one, self.other = np.triu_indices(total if self.pairs else 0, 1)
        sizes = [len(self.keys), total, total * axes, axes, dims, dims, len(self.one)]
        ends = np.cumsum([0, *sizes])
        self.plays, self.inside, self.effort, self.look, self.moment, self.square, self.both = (
            np.arange(a, b) for a, b in pairwise(ends)
        )
        self.effort = self.effort.reshape(total, axes)
        self.width = int(ends[-1])
        self._roles()
        self._caps()
        self._tones()
        self._pairs()
        self._variety()

    def _roles(self) -> None:
        p = self.problem
        for i in range(p.renditions):
            mine = self.plays[self.keys[:, 0] == i]
            self.rows.add([*mine, self.inside[i]], [*np.ones(len(mine)), -1.0], 0, 0)
        self.rows.add(self.inside, 1.0, p.size, p.size)
        for r, (least, most) in enumerate(zip(p.role_min, p.role_max, strict=True)):
            self.rows.add(self.plays[self.keys[:, 1] == r], 1.0, least, most)

    def _caps(self) -> None:
        p = self.problem
        for labels, cap in [(p.frame, 1), *zip(p.group, p.group_cap, strict=True)]:
            for label in np.unique(labels[labels >= 0]):
                members = np.flatnonzero(labels == label)
                if len(members) > cap:
                    self.rows.add(self.inside[members], 1.0, 0, cap)
        for pair in p.conflict:
            self.rows.add(self.inside[np.isin(p.frame, pair)], 1.0, 0, 1)
        for frame in p.include:
            self.rows.add(self.inside[p.frame == frame], 1.0, 1, 1)

    def _tones(self) -> None:
        """Effort at least what lies beyond the slack where the rendition is in; its upper bound is the reach."""
        p = self.problem
        low, high = p.tone.min(axis=0), p.tone.max(axis=0)
        for i, k in np.ndindex(p.tone.shape):
            tone, slack, e, x, look = p.tone[i, k], p.tone_slack[k], self.effort[i, k], self.inside[i], self.look[k]
            above, below = max(0.0, tone - low[k] - slack), max(0.0, high[k] - tone - slack)  # the least big-M
            self.rows.add([e, look, x], [1, 1, -above], tone - slack - above, np.inf)
            self.rows.add([e, look, x], [1, -1, -below], -tone - slack - below, np.inf)

    def _pairs(self) -> None:
        for both, i, j in zip(self.both, self.one, self.other, strict=True):
            self.rows.add([both, self.inside[i]], [1.0, -1.0], -np.inf, 0)
            self.rows.add([both, self.inside[j]], [1.0, -1.0], -np.inf, 0)
        for i in range(self.problem.renditions if self.pairs else 0):
            mine = self.both[(self.one == i) | (self.other == i)]
            self.rows.add([*mine, self.inside[i]], [*np.ones(len(mine)), 1.0 - self.problem.size], 0, 0)

    def _variety(self) -> None:
        p = self.problem
        for d, (moment, square) in enumerate(zip(self.moment, self.square, strict=True)):
            self.rows.add([*self.inside, moment], [*p.place[:, d], -1.0], 0, 0)
            ordered = np.sort(p.place[:, d])
            for at in np.linspace(ordered[: p.size].sum(), ordered[-p.size :].sum(), TANGENTS):
                self._tangent(moment, square, at)

    def _tangent(self, moment: int, square: int, at: float) -> None:
        self.rows.add([square, moment], [1.0, -2.0 * at], -at * at, np.inf)

    def cut(self, moments: np.ndarray) -> None:
        """Add the tangent of every dimension at a point that was found."""
        for moment, square, at in zip(self.moment, self.square, moments, strict=True):
            self._tangent(moment, square, float(at))

    def cost(self) -> np.ndarray:
        """Return what is minimised: the score with its sign turned."""
        p, cost = self.problem, np.zeros(self.width)
        weight = p.variety_weight / max(1, p.size - 1)
        cost[self.plays] = -p.gain[self.keys[:, 0], self.keys[:, 1]]
        if self.pairs:
            cost[self.both] = -weight * np.linalg.norm(p.place[self.one] - p.place[self.other], axis=1)
        else:
            cost[self.inside] = -weight * p.size * (p.place**2).sum(axis=1)
        cost[self.square] = weight
        cost[self.effort] = p.tone_weight
        return cost

    def bounds(self) -> Bounds:
        """Return the range of every column."""
        p = self.problem
        low, high = np.full(self.width, -np.inf), np.full(self.width, np.inf)
        low[self.plays], high[self.plays], low[self.inside], high[self.inside] = 0, 1, 0, 1
        high[self.inside[np.isin(p.frame, p.exclude)]] = 0
        low[self.effort], high[self.effort] = 0, p.tone_reach
        low[self.look], high[self.look] = p.tone.min(axis=0), p.tone.max(axis=0)
        low[self.square], low[self.both] = 0, 0
        return Bounds(low, high)

    def whole(self) -> np.ndarray:
        """Return 1 for variables that must be whole."""
        whole = np.zeros(self.width)
        whole[self.plays], whole[self.inside] = 1, 1
        return whole

    def score(self, values: np.ndarray) -> float:
        """Return the points of the set found, by the problem itself; -inf where it is in reach by tolerance only."""
        chosen, roles = zip(*self.keys[values[self.plays] > 0.5].tolist(), strict=True)
        look = best_look(self.problem, chosen)
        if look is None or broken_rules(self.problem, chosen, roles, look):
            return -np.inf
        return score_terms(self.problem, chosen, roles, look).score


def solve(problem: Problem, *, limit: float) -> Run:
    """Solve with HiGHS for ``limit`` seconds, building included. One thread: HiGHS's tree search has no more."""
    start = clock()
    model, trace, score, bound = Model(problem), [], -np.inf, np.inf
    while (left := limit - clock(start).seconds) > 0:
        answer = milp(
            model.cost(),
            constraints=model.rows.constraint(model.width),
            bounds=model.bounds(),
            integrality=model.whole(),
            options={"time_limit": left, "mip_rel_gap": 0.0},
        )
        if answer.mip_dual_bound is not None:
            bound = min(bound, -answer.mip_dual_bound)
        if answer.x is not None:
            score = max(score, model.score(answer.x))
            model.cut(answer.x[model.moment])
        trace.append(clock(start, score, bound))
        if bound - score <= CLOSED * abs(score) or answer.x is None:
            break
    last = clock(start, score, bound)
    return Run(last, trace, bool(bound - score <= CLOSED * abs(score)))
