"""A set from renditions that share one look already, or from a few with their tones, decided by CP-SAT."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from setsolver.solver.cpsat import solved

if TYPE_CHECKING:
    from setsolver.domain.problem import Ints
    from setsolver.solver.ruleset import Ruleset

__all__ = ["Pairs", "set_among"]

Pairs = list[tuple[int, int]]

SAMPLE = 40
"""A sample for the quick try holds this many renditions for each role and a few more for each place in the set."""


def set_among(
    rules: Ruleset, items: Ints, seed: int, deadline: float | None, windows: tuple[Ints, Ints] | None = None
) -> Pairs | None:
    """Return (rendition, role) pairs of a set from ``items``, [] where there is none, None where time ran out.

    Tones are not looked at unless their window ranks (first, last, each [K, items]) are given: the caller vouches that
    all items fit one window. A sample is tried before all of them, because a set found among few is as good a witness,
    and sooner.
    """
    if windows is not None:
        return _solve(rules, items, seed, deadline, windows)
    few = _sample(rules, items)
    if 0 < len(few) < len(items):
        found = _solve(rules, few, seed, deadline)
        if found is None or found:
            return found
    return _solve(rules, items, seed, deadline)


def _sample(rules: Ruleset, items: Ints) -> Ints:
    """Return wished renditions, for each role some who can play it, and some of all where strangers may play one."""
    keep = [items[np.isin(rules.frame[items], rules.include)]]
    teams = [items[able] for able in rules.playable[items].T] + [items] * bool(rules.strangers.any())
    for team in teams:
        wanted = min(len(team), SAMPLE + 4 * rules.size_min)
        keep.append(team[np.linspace(0, len(team) - 1, wanted).astype(np.int64)])
    return np.unique(np.concatenate(keep))


def _solve(
    rules: Ruleset, items: Ints, seed: int, deadline: float | None, windows: tuple[Ints, Ints] | None = None
) -> Pairs | None:
    model = cp_model.CpModel()
    inside = [model.new_bool_var("") for _ in items]
    plays = _add_roles(model, rules, items, inside)
    model.add_linear_constraint(sum(inside), rules.size_min, min(rules.size_max, len(items)))
    _add_caps(model, rules, items, inside)
    for frame in rules.include:
        model.add(sum(inside[j] for j in np.flatnonzero(rules.frame[items] == frame)) >= 1)
    if windows is not None:
        _add_windows(model, inside, *windows)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed % (1 << 31)
    solver.parameters.cp_model_probing_level = 0  # probing took most of the time and helped nothing
    if deadline is not None:
        solver.parameters.max_time_in_seconds = max(0.01, deadline - time.perf_counter())
    status = solved(solver, model)
    if status == cp_model.INFEASIBLE:
        return []
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return [(int(items[j]), role) for (j, role), var in plays.items() if solver.boolean_value(var)]


def _add_roles(
    model: cp_model.CpModel, rules: Ruleset, items: Ints, inside: list[cp_model.IntVar]
) -> dict[tuple[int, int], cp_model.IntVar]:
    """Give every rendition that is in one role, within the least and most of each role and its strangers."""
    plays: dict[tuple[int, int], cp_model.IntVar] = {}
    for role, (least, most, strangers) in enumerate(zip(rules.role_min, rules.role_max, rules.strangers, strict=True)):
        able = rules.playable[items, role]
        mine = {
            (int(j), role): model.new_bool_var("") for j in (range(len(items)) if strangers else np.flatnonzero(able))
        }
        model.add_linear_constraint(sum(mine.values()), int(least), max(int(least), int(min(most, len(items)))))
        if strangers and strangers < len(items):
            model.add(sum(var for (j, _), var in mine.items() if not able[j]) <= int(strangers))
        plays |= mine
    of_item: list[list[cp_model.IntVar]] = [[] for _ in items]
    for (j, _), var in plays.items():
        of_item[j].append(var)
    for var, roles in zip(inside, of_item, strict=True):
        model.add(sum(roles) == var)
    return plays


def _add_caps(model: cp_model.CpModel, rules: Ruleset, items: Ints, inside: list[cp_model.IntVar]) -> None:
    """One rendition a frame, at most ``cap`` of a label, never both frames of a conflict."""
    rows = [(rules.frame[items], 1), *zip(rules.group[:, items], rules.group_cap, strict=True)]
    for labels, cap in rows:
        order = np.argsort(labels, kind="stable")
        for members in np.split(order, np.flatnonzero(np.diff(labels[order])) + 1):
            if labels[members[0]] >= 0 and len(members) > cap:
                model.add(sum(inside[j] for j in members) <= int(cap))
    here: dict[int, list[cp_model.IntVar]] = {}
    for frame, var in zip(rules.frame[items], inside, strict=True):
        here.setdefault(int(frame), []).append(var)
    for one, other in rules.conflict:
        if int(one) in here and int(other) in here:
            model.add(sum(here[int(one)] + here[int(other)]) <= 1)


def _add_windows(model: cp_model.CpModel, inside: list[cp_model.IntVar], first: Ints, last: Ints) -> None:
    """Let one window an axis hold all that is in: its low end is a rank from ``first`` to ``last`` of each."""
    for least, most in zip(first, last, strict=True):
        low = model.new_int_var(int(least.min()), int(most.max()), "")
        for var, a, b in zip(inside, least.tolist(), most.tolist(), strict=True):
            model.add(low >= a).only_enforce_if(var)
            model.add(low <= b).only_enforce_if(var)
