"""Appeal on shoots that nothing was fitted to or chosen on, before the further readings and inner layers and now.

    python benchmarks/features/held_appeal.py

``held_appeal.csv`` has the frames of the thirty shoots held back in benchmarks/taste: the appeal that one more reader
gave (of 475 frames of 23 shoots), whether another reader had picked the frame for a set, and what the regression said
before (cb86438) and says now (cc9c892). All readers are vision-language models; this one, who also made the fit, saw
contact sheets and none of these values. Intervals are of shoots drawn again.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
from scipy.stats import rankdata, spearmanr

TABLE = Path(__file__).with_name("held_appeal.csv")
TOLD = ("before", "now")


def area(said: np.ndarray, picked: np.ndarray) -> float:
    """Area under the ROC: how often a picked frame is said to be better than one that was not picked."""
    count, ranks = int(picked.sum()), rankdata(said)
    return float((ranks[picked].sum() - count * (count + 1) / 2) / (count * (~picked).sum()))


def compare(name: str, marks: np.ndarray) -> None:
    """Print means of marks [shoots, 2] and how they differ."""
    differ = marks[:, 1] - marks[:, 0]
    draws = np.random.default_rng(0).choice(differ, (4000, len(differ))).mean(axis=1)
    low, high = np.percentile(draws, [2.5, 97.5])
    first, second = marks.mean(axis=0)
    print(f"| {name} | {len(marks)} | {first:.3f} | {second:.3f} | {differ.mean():+.3f} ({low:+.3f} to {high:+.3f}) |")


def main() -> None:
    with TABLE.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    said = np.array([[float(row[name]) for name in TOLD] for row in rows])
    reader = np.array([float(row["reader"] or "nan") for row in rows])
    picked = np.array([row["picked"] == "1" for row in rows])
    shoots = np.array([row["shoot"] for row in rows])
    rated = ~np.isnan(reader)
    of = [rated & (shoots == one) for one in np.unique(shoots[rated])]
    print("| | shoots | before | now | difference |\n| --- | --- | --- | --- | --- |")
    compare("within a shoot", np.array([[spearmanr(said[b, k], reader[b])[0] for k in (0, 1)] for b in of]))
    of = [shoots == one for one in np.unique(shoots)]
    compare("picked frames", np.array([[area(said[b, k], picked[b]) for k in (0, 1)] for b in of]))
    overall = [spearmanr(said[rated, k], reader[rated])[0] for k in (0, 1)]
    print(f"over all {rated.sum()} rated frames {overall[0]:.3f} and {overall[1]:.3f}")


if __name__ == "__main__":
    main()
