"""How soon a warm solver answers a changed question.

usage: python benchmarks/engine_warm.py [--frames M] [--size N ...] [--seeds K] [--changes C] [--limit SECONDS]

After a first solve of ``generate.arrays(M, N, seed)``, asks C changes in turn: bar a frame of the best set, wish for
one of the hundred frames of most gain, bar a frame that is not in, make quality count 5 % more or less. Prints wall
seconds by kind, and processor seconds of both threads together, which other work on the machine does not stretch.
"""

from __future__ import annotations

import argparse
import os
import time

import generate
import numpy as np

from setsolver.domain.problem import Problem
from setsolver.solver import Warm
from setsolver.solver.ready import make_ready

KINDS = ("bar a member", "wish", "bar another", "weight")


def change(kind: str, problem: Problem, inside: np.ndarray, rng: np.random.Generator) -> dict:
    """Return a change of the kind."""
    good = problem.frame[np.argsort(-np.nanmax(problem.gain, axis=1))[:100]]
    if kind == "bar a member":
        return {"exclude": rng.choice(inside, 1)}
    if kind == "wish":
        return {"include": rng.choice(good, 1)}
    if kind == "bar another":
        return {"exclude": rng.choice(np.setdiff1d(problem.frame, inside), 1)}
    return {"gain": problem.gain * rng.choice([0.95, 1.05])}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--frames", type=int, default=5000)
    parser.add_argument("--size", type=int, nargs="+", default=[3, 6, 9, 12])
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--changes", type=int, default=16)
    parser.add_argument("--limit", type=float, default=10.0)
    given = parser.parse_args()
    for part in ("search", "clash"):  # compiled once after installing; not what is measured here
        make_ready(part)
    print(f"load {os.getloadavg()[0]:.1f} at the start")
    print("| frames, size | first s | median s (cpu) | worst s (cpu) | " + " | ".join(KINDS) + " | open |")
    print("|---|---|---|---|" + "---|" * (len(KINDS) + 1))
    for size in given.size:
        first, taken, left_open, cpu = [], {kind: [] for kind in KINDS}, 0, []
        for seed in range(given.seeds):
            problem = Problem.from_arrays(generate.arrays(given.frames, size, seed))
            warm, rng = Warm(problem), np.random.default_rng(seed)
            answer = warm.solve()
            first.append(answer.seconds)
            inside = problem.frame[list(answer.best.chosen)]
            for step in range(given.changes):
                kind = KINDS[step % len(KINDS)]
                start, busy = time.perf_counter(), time.process_time()
                answer = warm.solve(time_limit=given.limit, **change(kind, problem, inside, rng))
                taken[kind].append(time.perf_counter() - start)
                cpu.append(time.process_time() - busy)
                left_open += answer.status not in ("optimal", "infeasible")
        everything = np.concatenate(list(taken.values()))
        kinds = " | ".join(f"{np.median(taken[kind]):.2f}" for kind in KINDS)
        worst, median = everything.max(), np.median(everything)
        print(
            f"| {given.frames:,}, {size} | {np.median(first):.2f} | {median:.2f} ({np.median(cpu):.2f}) "
            f"| {worst:.2f} ({max(cpu):.2f}) | {kinds} | {left_open} |",
            flush=True,
        )
    print(f"load {os.getloadavg()[0]:.1f} at the end")


if __name__ == "__main__":
    main()
