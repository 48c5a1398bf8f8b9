"""What greedy choice, and greedy choice with swaps, miss of the proven best set, and how long all three take.

usage: python benchmarks/compare_heuristics.py [--full] [--seeds S ...]

Prints Markdown rows: the points that each heuristic leaves on the table against the proven best set, and wall seconds.
"""

from __future__ import annotations

import argparse

import generate
import heuristics
import numpy as np
from compare_direct import compile_all, ours
from moments import clock

SHORT = [(200, 6), (1000, 6), (1000, 9)]
FULL = [(200, 6), (200, 9), (1000, 6), (1000, 9), (3000, 12), (10000, 6), (10000, 12)]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--full", action="store_true", help="up to 10,000 renditions")
    parser.add_argument("--seeds", type=int, nargs="*", default=list(range(5)))
    given = parser.parse_args()
    compile_all()
    columns = ("renditions / size", "seeds", "greedy dead ends", "greedy misses, worst (mean)", "greedy s",
               "swaps miss, worst (mean)", "swaps best", "swaps s", "setsolver to proof, worst s")  # fmt: skip
    print(f"| {' | '.join(columns)} |")
    print("| --- " * len(columns) + "|")
    for renditions, size in FULL if given.full else SHORT:
        print(row(renditions, size, given.seeds), flush=True)


def row(renditions: int, size: int, seeds: list[int]) -> str:
    """Return one row of the table."""
    every = [_one(generate.problem(renditions, size, seed)) for seed in seeds]
    proof = max(taken for *_, taken in every)
    missed = np.array([missed for *missed, _ in every if missed])
    plain, swaps, plain_time, swaps_time = missed.T if len(missed) else np.full((4, 1), np.nan)
    return (
        f"| {renditions} / {size} | {len(seeds)} | {len(seeds) - len(missed)} | {_worst(plain)} | "
        f"{plain_time.max():.2f} | {_worst(swaps)} | {(swaps < 1e-6).sum()} | {swaps_time.max():.2f} | {proof:.2f} |"
    )


def _worst(points: np.ndarray) -> str:
    return f"{points.max():.2f} ({points.mean():.2f})"


def _one(problem) -> tuple[float, ...]:
    """Return points missed by greedy and by swaps, their seconds, and setsolver's; the last alone at a dead end."""
    mine = ours(problem, 120.0)
    if not mine.done:
        raise SystemExit(f"no proof within 120 s: {mine.last}")
    start = clock()
    members = heuristics.greedy(problem)
    plain = clock(start)
    if members is None:
        return (mine.last.seconds,)
    better = heuristics.swapped(problem, members)
    swaps = clock(start)
    scores = [heuristics.score(problem, found) for found in (members, better)]
    return mine.last.score - scores[0], mine.last.score - scores[1], plain.seconds, swaps.seconds, mine.last.seconds


if __name__ == "__main__":
    main()
