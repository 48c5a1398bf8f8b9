"""setsolver against the whole problem handed to CP-SAT and to HiGHS: time to the same gap.

usage: python benchmarks/compare_direct.py [--limit SECONDS] [--full] [--seeds S ...] [--only cpsat-pairs ...]
                                           [--kind euclidean] [--save RUNS.json | --against RUNS.json ...]

Every model gets the same problem, all cores and ``--limit`` wall seconds. When it is done or stopped, its gap is noted;
then setsolver's first moment with a set and at most that gap is looked up in its own trace. "times" is the ratio of
processor seconds (all threads), which other work on the machine does not stretch as it does wall seconds. Compiling is
not counted: two small problems are solved first. Prints Markdown rows. ``--save`` keeps what the models reached, and
``--against`` compares with what was kept instead of running them again.
"""

from __future__ import annotations

import argparse
import json
import os
from pathlib import Path

import direct_cpsat
import direct_highs
import generate
from moments import Moment, Run, clock

from setsolver.solver import search

LINEAR = {"variety_weight": 0.0}
EUCLIDEAN = {"variety_kind": "euclidean"}
SHORT = [(100, 3, {}), (100, 6, {}), (200, 6, {}), (200, 6, LINEAR), (100, 3, EUCLIDEAN)]
FULL = [
    *SHORT,
    (100, 6, EUCLIDEAN),
    (200, 6, EUCLIDEAN),
    (200, 9, {}),
    (500, 6, {}),
    (500, 6, LINEAR),
    (1000, 6, {}),
    (2000, 6, {}),
    (2000, 12, {}),
]
SUFFIX = {"variety_weight": ", no variety", "variety_kind": ", euclidean"}
MOST_PAIRS = 300  # renditions: above, the pair model alone takes longer to build than the limit

MODELS = {
    "cpsat-pairs": lambda p, limit: direct_cpsat.solve(p, limit=limit, variety="pairs"),
    "cpsat-moments": lambda p, limit: direct_cpsat.solve(p, limit=limit, variety="moments"),
    "highs": lambda p, limit: direct_highs.solve(p, limit=limit),
}


def ours(problem, limit: float) -> Run:
    """Solve with setsolver, noting score and bound after each round."""
    start, trace = clock(), []
    found = search(
        problem,
        deadline=start.seconds + limit,
        progress=lambda score, bound: trace.append(clock(start, score, bound)),
    )
    score = found.choice.score if found.choice else -float("inf")
    trace.append(clock(start, score, found.bound))
    return Run(trace[-1], trace, found.finished)


def compile_all() -> None:
    """Solve two small problems, so that no compiled part is met for the first time later."""
    for renditions, size in ((60, 3), (300, 6)):
        ours(generate.problem(renditions, size), 300.0)


def row(name: str, case: str, theirs: Run, mine: Run) -> str:
    """Return one row of the table."""
    same = mine.first_within(max(theirs.last.gap, 1e-9))
    cells = [
        case,
        name,
        "done" if theirs.done else "stopped",
        _seconds(theirs.last),
        "none" if theirs.last.score == -float("inf") else f"{theirs.last.score:.3f}",
        "no set" if theirs.last.gap == float("inf") else f"{theirs.last.gap:.2%}",
        f"{mine.last.score:.3f}",
        _seconds(same) if same else "never",
        f"{_seconds(mine.last)}" if mine.done else f"gap {mine.last.gap:.2%}",
        f"{theirs.last.cpu / max(1e-3, same.cpu):,.0f}" if same else "-",
    ]
    return f"| {' | '.join(cells)} |"


def _seconds(moment: Moment) -> str:
    return f"{moment.seconds:.3g} ({moment.cpu:.3g})"


COLUMNS = ("renditions / size", "model", "state", "wall (cpu) s", "score", "gap", "setsolver's score", "to that gap, s",
           "to proof, s", "times")  # fmt: skip


def cases(given: argparse.Namespace):
    """Yield (name of the case, problem, models that can take it)."""
    for renditions, size, kind in FULL if given.full else SHORT:
        for seed in given.seeds:
            problem = generate.problem(renditions, size, seed).replaced(**kind)
            # moments are of squared distances; without variety both CP-SAT models are one
            useless = {"cpsat-moments"} if kind else set()
            useless |= {"cpsat-pairs"} if renditions > MOST_PAIRS and not kind else set()
            yield (
                f"{renditions} / {size}, seed {seed}{SUFFIX.get(next(iter(kind), ''), '')}",
                problem,
                [name for name in given.only if name not in useless],
            )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--limit", type=float, default=20.0, help="wall seconds for each direct model")
    parser.add_argument("--full", action="store_true", help="up to 2,000 renditions")
    parser.add_argument("--seeds", type=int, nargs="*", default=[0])
    parser.add_argument("--only", nargs="*", default=list(MODELS), choices=list(MODELS))
    parser.add_argument("--save", type=Path, help="keep what the models reached in this file")
    parser.add_argument("--against", type=Path, nargs="+", default=[], help="compare with what was kept in these")
    parser.add_argument("--kind", default="", help="only cases with this word in their name")
    given = parser.parse_args()
    kept = {key: run for file in given.against for key, run in json.loads(file.read_text()).items()}
    compile_all()
    print(f"limit {given.limit:g} s, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f} at the start\n")
    print(f"| {' | '.join(COLUMNS)} |\n" + "| --- " * len(COLUMNS) + "|")
    for case, problem, names in cases(given):
        if given.kind not in case:
            continue
        mine = ours(problem, 60.0)
        for name in names:
            key = f"{name}: {case}"
            if given.against and key not in kept:
                continue
            run = Run(Moment(*kept[key][0]), [], kept[key][1]) if given.against else MODELS[name](problem, given.limit)
            print(row(name, case, run, mine), flush=True)
            if given.save:
                kept[key] = [list(run.last), run.done]
                given.save.write_text(json.dumps(kept, indent=1) + "\n")


if __name__ == "__main__":
    main()
