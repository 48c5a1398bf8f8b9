"""Euclidean variety against proven optima of the maximum diversity problem: GKD-a and GKD-c of MDPLIB 2.0.

usage: python benchmarks/engine_mdplib.py FOLDER [--limit SECONDS] [--only NAME]

FOLDER holds the instances (``n m`` and then ``i j distance`` lines, plain or .gz, in subfolders) and tables named
``gkda_optima.csv`` and ``gkdc_optima.csv`` whose rows are file, n, m, optimum, "OPT" and more. MDPLIB 2.0 is the
library of Marti and others; the optima of these two groups are proven (Spiers, Bui, Loxton, EJOR 311, 2023). The
solver takes coordinates, the files hold distances.

Distances become coordinates by classical scaling (Torgerson 1952): -1/2 of the doubly centred squared distances is
factored into its eigenvectors, those with a positive eigenvalue are kept. The files round distances to five decimals,
so the centred matrix is not exactly positive semidefinite, and the coordinates give distances a little different from
the file's. Both are printed: the largest such difference, and what it does to the score (the set found is scored by the
distances of the file, and that is what must equal the optimum).
"""

from __future__ import annotations

import argparse
import csv
import gzip
import time
from pathlib import Path
from typing import NamedTuple

import numpy as np

from setsolver.domain.problem import Problem
from setsolver.solver import solve

KEPT = 1e-9  # of the largest eigenvalue: below, an axis is rounding


class Known(NamedTuple):
    """One row of a table of optima."""

    file: str
    choose: int
    optimum: float


def known(folder: Path) -> list[Known]:
    """Return all rows of both tables."""
    rows: list[Known] = []
    for table in ("gkda_optima.csv", "gkdc_optima.csv"):
        with (folder / table).open() as file:
            given = [row for row in csv.reader(file) if row and row[0].endswith(".txt")]
        rows += [Known(row[0], int(row[2]), float(row[3])) for row in given]
    return rows


def distances(folder: Path, name: str) -> np.ndarray:
    """Return the symmetric distance matrix of an instance."""
    path = next(p for p in folder.rglob(f"{name}*") if p.name in (name, f"{name}.gz"))
    text = gzip.decompress(path.read_bytes()).decode() if path.suffix == ".gz" else path.read_text()
    head, *lines = text.splitlines()
    total = int(head.split()[0])
    cells = np.array([line.split() for line in lines if line.strip()], dtype=np.float64)
    matrix = np.zeros((total, total))
    first, second = cells[:, 0].astype(int), cells[:, 1].astype(int)
    matrix[first, second] = matrix[second, first] = cells[:, 2]
    return matrix


def coordinates(matrix: np.ndarray) -> np.ndarray:
    """Return places whose Euclidean distances are those of the matrix, as near as rounding lets them be."""
    squares = matrix**2
    centred = squares - squares.mean(axis=0) - squares.mean(axis=1)[:, None] + squares.mean()
    values, vectors = np.linalg.eigh(-centred / 2)
    kept = values > KEPT * values.max()
    return vectors[:, kept] * np.sqrt(values[kept])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--limit", type=float, default=60.0)
    parser.add_argument("--only", default="")
    given = parser.parse_args()
    print("| instance | choose | optimum | found | difference | off by rounding | proven | s | nodes |")
    print("|---|---|---|---|---|---|---|---|---|")
    wrong, count = 0, 0
    for row in known(given.folder):
        if given.only not in row.file:
            continue
        matrix = distances(given.folder, row.file)
        place = coordinates(matrix)
        rounding = np.abs(np.linalg.norm(place[:, None] - place[None], axis=2) - matrix).max()
        arrays = {"size": row.choose, "gain": np.zeros((len(matrix), 1)), "place": place}
        # weight N - 1 makes a pair count once, as in the instances
        arrays |= {"variety_weight": row.choose - 1.0, "variety_kind": "euclidean"}
        start = time.perf_counter()
        answer = solve(Problem.from_arrays(arrays), time_limit=given.limit)
        seconds = time.perf_counter() - start
        chosen = np.array(answer.best.chosen)
        found = matrix[np.ix_(chosen, chosen)].sum() / 2
        tolerance = 1e-5 * row.choose**2  # each of the N (N - 1) / 2 distances is rounded to 1e-5
        count += 1
        wrong += not (answer.best.proven and abs(found - row.optimum) <= tolerance)
        proof = "yes" if answer.best.proven else f"gap {answer.best.gap:.4f}"
        print(
            f"| {row.file} | {row.choose} | {row.optimum:.5f} | {found:.5f} | {found - row.optimum:+.5f} "
            f"| {rounding:.0e} | {proof} | {seconds:.2f} | {answer.nodes} |",
            flush=True,
        )
    print(f"{count - wrong} of {count} optima reproduced and proven")


if __name__ == "__main__":
    main()
