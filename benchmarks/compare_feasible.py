"""Is there any set at all? setsolver's search over look windows against the whole question handed to CP-SAT.

usage: python benchmarks/compare_feasible.py [--limit SECONDS] [--full]

The same problems with the reach cut to a share of what it is: sets become rare, then impossible. CP-SAT gets the best
of four settings tried (no probing, linear relaxation on), tones as ranks, all cores. Where no set exists, also the
seconds of the whole explanation: a minimal clash with the smallest way out of each rule. Prints Markdown rows.
"""

from __future__ import annotations

import argparse
import time

import generate
import numpy as np
from moments import clock
from ortools.sat.python import cp_model

from setsolver.solver import conflict
from setsolver.solver.feasible import possible
from setsolver.solver.ruleset import Ruleset

SHORT = [(500, 6, 1.0), (500, 6, 0.2), (500, 12, 0.5)]
FULL = [*SHORT, (5000, 6, 1.0), (5000, 6, 0.1), (5000, 6, 0.05), (5000, 12, 0.2), (5000, 12, 0.1), (100_000, 12, 0.1)]
COLUMNS = (
    "renditions / size / share of reach",
    "a set?",
    "setsolver, s (cpu)",
    "CP-SAT",
    "CP-SAT, s (cpu)",
    "why, s (cpu)",
)


def by_cpsat(problem, limit: float) -> str:
    """Return what CP-SAT says of the same question within ``limit`` seconds of search."""
    model = cp_model.CpModel()
    plays = {(int(i), int(r)): model.new_bool_var("") for i, r in np.argwhere(~np.isnan(problem.gain))}
    inside = [model.new_bool_var("") for _ in problem.frame]
    of_item: list[list] = [[] for _ in inside]
    of_role: list[list] = [[] for _ in problem.role_min]
    for (item, role), var in plays.items():
        of_item[item].append(var)
        of_role[role].append(var)
    for var, mine in zip(inside, of_item, strict=True):
        model.add(sum(mine) == var)
    model.add(sum(inside) == problem.size)
    for least, most, members in zip(problem.role_min, problem.role_max, of_role, strict=True):
        model.add_linear_constraint(sum(members), int(least), int(most))
    for labels, cap in [(problem.frame, 1), *zip(problem.group, problem.group_cap, strict=True)]:
        order = np.argsort(labels, kind="stable")
        for members in np.split(order, np.flatnonzero(np.diff(labels[order])) + 1):
            if len(members) > cap:
                model.add(sum(inside[i] for i in members) <= int(cap))
    for pair in problem.conflict:
        model.add(sum(inside[i] for i in np.flatnonzero(np.isin(problem.frame, pair))) <= 1)
    for axis, width in enumerate(problem.tone_reach + problem.tone_slack):
        values = np.unique(problem.tone[:, axis])
        low = model.new_int_var(0, len(values) - 1, "")
        last = np.searchsorted(values, problem.tone[:, axis]).tolist()
        first = np.searchsorted(values, problem.tone[:, axis] - 2 * width).tolist()
        for var, least, most in zip(inside, first, last, strict=True):
            model.add(low >= least).only_enforce_if(var)
            model.add(low <= most).only_enforce_if(var)
    solver = cp_model.CpSolver()
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.max_time_in_seconds = limit
    return {"OPTIMAL": "yes", "FEASIBLE": "yes", "INFEASIBLE": "no"}.get(
        solver.status_name(solver.solve(model)), "unknown"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--limit", type=float, default=20.0, help="seconds of search for CP-SAT")
    parser.add_argument("--full", action="store_true", help="5,000 and 100,000 renditions too")
    given = parser.parse_args()
    conflict.find(generate.problem(50, 6).replaced(tone_reach=np.full(4, 0.1)))  # compiles
    print(f"| {' | '.join(COLUMNS)} |\n" + "| --- " * len(COLUMNS) + "|")
    for renditions, size, share in FULL if given.full else SHORT:
        problem = generate.problem(renditions, size, 1, 2)
        problem = problem.replaced(tone_reach=(problem.tone_reach + problem.tone_slack) * share, tone_slack=np.zeros(4))
        start = clock()
        answer = possible(Ruleset.of(problem)).answer
        mine, start = clock(start), clock()
        says = by_cpsat(problem, given.limit) if renditions <= 5000 else "not tried"
        theirs, start = clock(start), clock()
        rules = conflict.find(problem, deadline=time.perf_counter() + 600) if not answer else ()
        why = clock(start)
        cells = (
            f"{renditions} / {size} / {share}",
            "yes" if answer else "no",
            f"{mine.seconds:.3f} ({mine.cpu:.3f})",
            says,
            f"{theirs.seconds:.1f} ({theirs.cpu:.1f})" if renditions <= 5000 else "",
            f"{why.seconds:.2f} ({why.cpu:.2f}), {len(rules)} rules" if rules else "",
        )
        print(f"| {' | '.join(cells)} |", flush=True)


if __name__ == "__main__":
    main()
