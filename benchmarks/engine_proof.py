"""Time to proof, growth with the number of renditions, and peak memory of the exact search.

usage: python benchmarks/engine_proof.py [--renditions M ...] [--size N ...] [--per-frame P ...] [--seeds K]
                                         [--limit SECONDS] [--workers W] [--crossing ROWS] [--foes FOES]

Solves ``generate.arrays(M, N, seed, P)`` for seeds 0 to K - 1 and prints a Markdown row a size: median and worst wall
seconds, the worst seed, processor seconds of the worst, nodes, and the worst gap where the limit was hit. Infeasible
problems count (their proof is that no set exists). Compiling is not counted: a small problem is solved first.
"""

from __future__ import annotations

import argparse
import os
import resource
import time
from typing import NamedTuple

import generate
import numpy as np

from setsolver.domain.problem import Problem
from setsolver.solver import solve


class Run(NamedTuple):
    """One solve: wall and processor seconds, nodes, relative gap, and whether it was proven (or proven infeasible)."""

    seed: int
    wall: float
    cpu: float
    nodes: int
    gap: float
    status: str


def run(total: int, size: int, per_frame: int, seed: int, given: argparse.Namespace) -> Run:
    """Generate and solve one problem."""
    problem = Problem.from_arrays(
        generate.arrays(total, size, seed, per_frame, crossing=given.crossing, foes=given.foes)
    )
    wall, cpu = time.perf_counter(), time.process_time()
    answer = solve(problem, time_limit=given.limit, workers=given.workers)
    wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
    gap = answer.best.gap / max(1.0, abs(answer.best.score)) if answer.best else np.inf
    return Run(seed, wall, cpu, answer.nodes, gap, answer.status)


def row(name: str, runs: list[Run]) -> str:
    """Return a Markdown row; the worst seed is the one that took longest."""
    worst = max(runs, key=lambda r: r.wall)
    unproven = [r for r in runs if r.status in ("feasible", "unknown")]
    gaps = f"{len(unproven)} open, worst gap {max(r.gap for r in unproven):.2%}" if unproven else "all proven"
    none = sum(r.status == "infeasible" for r in runs)
    median = np.median([r.wall for r in runs])
    return (
        f"| {name} | {len(runs)} ({none}) | {median:.2f} | {worst.wall:.2f} (seed {worst.seed}, cpu {worst.cpu:.2f}) "
        f"| {int(np.median([r.nodes for r in runs])):,} / {max(r.nodes for r in runs):,} | {gaps} |"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--renditions", type=int, nargs="+", default=[100, 200, 400, 1000, 3000, 10_000, 100_000])
    parser.add_argument("--size", type=int, nargs="+", default=[3, 6, 9, 12])
    parser.add_argument("--per-frame", type=int, nargs="+", default=[1, 2, 3])
    parser.add_argument("--seeds", type=int, default=5)
    parser.add_argument("--limit", type=float, default=10.0)
    parser.add_argument("--workers", type=int, default=None)
    parser.add_argument("--crossing", type=int, default=0, help="rows of caps that nest with nothing")
    parser.add_argument("--foes", type=int, default=0, help="conflicts a frame, beside the look-alikes")
    given = parser.parse_args()
    run(100, 4, 1, 1, given)
    print(f"load {os.getloadavg()[0]:.1f} at the start, {len(os.sched_getaffinity(0))} cores, limit {given.limit:g} s")
    print("| renditions, size, a frame | seeds (no set) | median s | worst s | nodes median / most | proof |")
    print("|---|---|---|---|---|---|")
    medians = []
    for total in given.renditions:
        everything = []
        for size in given.size:
            for per_frame in given.per_frame:
                seeds = range(given.seeds)
                runs = [run(total, size, per_frame, seed, given) for seed in seeds]
                everything += runs
                print(row(f"{total:,}, {size}, {per_frame}", runs), flush=True)
        medians.append(np.median([r.cpu for r in everything if r.status == "optimal"]))
    if len(medians) > 2:
        exponent = np.polyfit(np.log(given.renditions), np.log(medians), 1)[0]
        print(f"growth: median processor seconds ~ renditions^{exponent:.2f}")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"peak memory {peak:.0f} MiB; load {os.getloadavg()[0]:.1f} at the end")


if __name__ == "__main__":
    main()
