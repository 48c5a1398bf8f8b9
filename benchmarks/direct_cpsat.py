"""The whole problem handed to CP-SAT in one model: the best modelling we know of, to compare with.

Variety in one of two ways:

``pairs``
    for both kinds of distance, a variable z_ij for each pair of renditions, at most x_i and at most x_j, with the valid
    equality ``sum_j z_ij = (N - 1) x_i``, without which it does not close;
``moments``
    for squared distances, one product a dimension:
    ``sum_{i<j} |v_i - v_j|^2 = N sum_i x_i |v_i|^2 - |sum_i x_i v_i|^2`` for sets of N.

Numbers are scaled to whole ones: a thousandth of a point, a hundredth of a tone unit, a thousandth of a place. The set
found is scored by the problem itself, the bound is the model's; the two differ by rounding too.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from moments import Moment, Run, clock
from ortools.sat.python import cp_model

from setsolver.domain.validate import best_look, broken_rules, score_terms

if TYPE_CHECKING:
    from setsolver.domain.problem import Problem

POINT, TONE, PLACE = 1000, 100, 1000  # parts of a point, a tone unit, a unit of place

Literal = cp_model.IntVar


def solve(problem: Problem, *, limit: float, workers: int | None = None, variety: str = "pairs") -> Run:
    """Solve with CP-SAT for ``limit`` seconds, building included."""
    start = clock()
    model = cp_model.CpModel()
    plays = {(int(i), int(r)): model.new_bool_var("") for i, r in np.argwhere(~np.isnan(problem.gain))}
    inside = [model.new_bool_var("") for _ in problem.frame]
    _add_rules(model, problem, inside, plays)
    gain = sum(round(POINT * float(problem.gain[key])) * var for key, var in plays.items())
    model.maximize(gain + _variety(model, problem, inside, variety) - _effort(model, problem, inside))
    return _run(model, problem, inside, plays, start, limit, workers)


def _add_rules(model, problem: Problem, inside: list[Literal], plays: dict[tuple[int, int], Literal]) -> None:
    of_item: list[list[Literal]] = [[] for _ in inside]
    of_role: list[list[Literal]] = [[] for _ in problem.role_min]
    for (item, role), var in plays.items():
        of_item[item].append(var)
        of_role[role].append(var)
    for var, roles in zip(inside, of_item, strict=True):
        model.add(sum(roles) == var)
    model.add(sum(inside) == problem.size)
    for least, most, members in zip(problem.role_min, problem.role_max, of_role, strict=True):
        model.add_linear_constraint(sum(members), int(least), int(most))
    for labels, cap in [(problem.frame, 1), *zip(problem.group, problem.group_cap, strict=True)]:
        for label in np.unique(labels[labels >= 0]):
            members = np.flatnonzero(labels == label)
            if len(members) > cap:
                model.add(sum(inside[i] for i in members) <= int(cap))
    for pair in problem.conflict:
        model.add(sum(inside[i] for i in np.flatnonzero(np.isin(problem.frame, pair))) <= 1)
    for frame in problem.include:
        model.add(sum(inside[i] for i in np.flatnonzero(problem.frame == frame)) == 1)
    for i in np.flatnonzero(np.isin(problem.frame, problem.exclude)):
        model.add(inside[i] == 0)


def _effort(model, problem: Problem, inside: list[Literal]):
    """Return the tonal effort: a look an axis, and for each rendition what it lies beyond the slack, where it is in."""
    total = 0
    for axis, weight in enumerate(problem.tone_weight):
        tone = np.rint(TONE * problem.tone[:, axis]).astype(int)
        slack, reach = (round(TONE * float(a[axis])) for a in (problem.tone_slack, problem.tone_reach))
        look = model.new_int_var(int(tone.min()), int(tone.max()), "")
        for value, var in zip(tone.tolist(), inside, strict=True):
            beyond = model.new_int_var(0, reach, "")
            model.add(beyond >= value - look - slack).only_enforce_if(var)
            model.add(beyond >= look - value - slack).only_enforce_if(var)
            total += round(POINT / TONE * float(weight)) * beyond
    return total


def _pairs(model, problem: Problem, inside: list[Literal]):
    total, weight = 0, POINT * problem.variety_weight / max(1, problem.size - 1)
    of_item: list[list[Literal]] = [[] for _ in inside]
    for i in range(len(inside)):
        distance = ((problem.place[i + 1 :] - problem.place[i]) ** 2).sum(axis=1)
        if problem.variety_kind == "euclidean":
            distance = np.sqrt(distance)
        for j, value in enumerate(distance.tolist(), i + 1):
            both = model.new_bool_var("")
            model.add_implication(both, inside[i])
            model.add_implication(both, inside[j])
            of_item[i].append(both)
            of_item[j].append(both)
            total += round(weight * value) * both
    for var, pairs in zip(inside, of_item, strict=True):
        model.add(sum(pairs) == (problem.size - 1) * var)
    return total


def _moments(model, problem: Problem, inside: list[Literal]):
    place = np.rint(PLACE * problem.place).astype(int)
    weight = POINT * problem.variety_weight / max(1, problem.size - 1)
    total = sum(round(weight * problem.size * float(v @ v)) * var for v, var in zip(problem.place, inside, strict=True))
    far = problem.size * int(np.abs(place).max())
    for values in place.T.tolist():
        moment, square = model.new_int_var(-far, far, ""), model.new_int_var(0, far**2, "")
        model.add(moment == sum(value * var for value, var in zip(values, inside, strict=True)))
        model.add_multiplication_equality(square, [moment, moment])
        total -= weight / PLACE**2 * square  # CP-SAT scales fractional objectives itself
    return total


def _variety(model, problem: Problem, inside: list[Literal], way: str):
    return VARIETY[way](model, problem, inside) if problem.variety_weight else 0


VARIETY = {"pairs": _pairs, "moments": _moments}


class _Watch(cp_model.CpSolverSolutionCallback):
    """Scores each set found by the problem itself and notes when it and each better bound came."""

    def __init__(
        self, problem: Problem, inside: list[Literal], plays: dict[tuple[int, int], Literal], start: Moment
    ) -> None:
        super().__init__()
        self.problem, self.inside, self.plays, self.start = problem, inside, plays, start
        self.score, self.bound = -np.inf, np.inf
        self.trace: list[Moment] = []

    def on_solution_callback(self) -> None:
        chosen, roles = zip(*sorted(key for key, var in self.plays.items() if self.boolean_value(var)), strict=True)
        look = best_look(self.problem, chosen)
        if look is None or broken_rules(self.problem, chosen, roles, look):
            return  # in reach by rounding only
        self.score = max(self.score, score_terms(self.problem, chosen, roles, look).score)
        self.note(self.best_objective_bound / POINT)

    def note(self, bound: float) -> None:
        self.bound = min(self.bound, bound)
        self.trace.append(clock(self.start, self.score, self.bound))


def _run(model, problem: Problem, inside, plays, start: Moment, limit: float, workers: int | None) -> Run:
    watch = _Watch(problem, inside, plays, start)
    solver = cp_model.CpSolver()
    if workers is not None:
        solver.parameters.num_workers = workers
    solver.parameters.max_time_in_seconds = max(1.0, limit - clock(start).seconds)
    solver.best_bound_callback = lambda bound: watch.note(bound / POINT)
    status = solver.solve(model, watch)
    watch.note(solver.best_objective_bound / POINT if watch.trace else np.inf)
    return Run(watch.trace[-1], watch.trace, status == cp_model.OPTIMAL)
