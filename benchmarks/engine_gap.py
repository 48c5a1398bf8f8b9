"""Gap over time: how soon the best set is known to be within 10, 5, 1 and 0.1 per cent of any other, and proven best.

usage: python benchmarks/engine_gap.py [--limit SECONDS]

Prints a Markdown row a problem. The gap is (bound - score) / score as the search tells it after every round, and the
wall seconds are those of the first round with at most that gap.
"""

from __future__ import annotations

import argparse
import os
import time

import generate

from setsolver.domain.problem import Problem
from setsolver.solver import solve

GAPS = (0.1, 0.05, 0.01, 0.001)
PROBLEMS = (
    (400, 6, 1),
    (1000, 12, 1),
    (3000, 12, 4),
    (10_000, 9, 2),
    (10_000, 12, 1),
    (10_000, 12, 13),
    (100_000, 12, 3),
)


def told(problem: Problem, limit: float) -> tuple[list[tuple[float, float]], float, str]:
    """Solve; return (seconds, relative gap) of every round, seconds until the end, and the status."""
    trace: list[tuple[float, float]] = []
    start = time.perf_counter()

    def note(score: float, bound: float) -> None:
        if score > 0:
            trace.append((time.perf_counter() - start, (bound - score) / score))

    answer = solve(problem, time_limit=limit, progress=note)
    return trace, time.perf_counter() - start, answer.status


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--limit", type=float, default=30.0)
    given = parser.parse_args()
    solve(Problem.from_arrays(generate.arrays(100, 4, 1, 1)))
    print(f"load {os.getloadavg()[0]:.1f} at the start, {len(os.sched_getaffinity(0))} cores, limit {given.limit:g} s")
    print(
        "| renditions / size, seed (3 a frame) | first gap | " + " | ".join(f"{g:.1%}, s" for g in GAPS) + " | end, s |"
    )
    print("|" + "---|" * (len(GAPS) + 3))
    for total, size, seed in PROBLEMS:
        trace, seconds, status = told(Problem.from_arrays(generate.arrays(total, size, seed, 3)), given.limit)
        times = [next((at for at, gap in trace if gap <= least), seconds) for least in GAPS]
        first = f"{trace[0][1]:.1%}" if trace else "none"
        row = " | ".join(f"{at:.2f}" for at in times)
        print(f"| {total:,} / {size}, {seed} | {first} | {row} | {seconds:.2f} ({status}) |", flush=True)


if __name__ == "__main__":
    main()
