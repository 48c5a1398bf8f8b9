"""Fit the chance that two frames of one shoot are twins to pairs read by eye, shoots left out whole.

    python benchmarks/features/twins.py

Needs no photographs: ``twins.csv`` beside this file has the pairs with their cosines and readings. A pair that the
reader hesitated about counts in part. Prints the fit, what it finds and mistakes on shoots that it was not fitted on,
and the curve of readings by likeness.
"""

from __future__ import annotations

import csv
from itertools import pairwise
from pathlib import Path

import numpy as np
from sklearn.linear_model import LogisticRegression

from setsolver.domain.twins import SHARES

READ = Path(__file__).with_name("twins.csv")
WORTH = {"twins": 1.0, "twins?": 0.75, "between": 0.5, "kin?": 0.25, "kin": 0.0, "strangers": 0.0}
CUES = {"embedding": [0], "clip": [1], "both": [0, 1]}
KEPT = np.array(SHARES)
"""Shares that the tool keeps: more of CLIP's than these pairs ask for (benchmarks/taste)."""
BANDS = (0.25, 0.4, 0.5, 0.55, 0.6, 0.65, 0.7, 0.75, 0.8, 0.9, 1.0)


def fit(cosines: np.ndarray, twins: np.ndarray) -> LogisticRegression:
    both = np.r_[cosines, cosines], np.r_[np.ones(len(twins)), np.zeros(len(twins))]
    return LogisticRegression(C=100).fit(*both, sample_weight=np.r_[twins, 1 - twins] + 1e-9)


def left_out(cosines: np.ndarray, twins: np.ndarray, source: np.ndarray) -> np.ndarray:
    chance = np.zeros(len(twins))
    for one in np.unique(source):
        rest = source != one
        chance[~rest] = fit(cosines[rest], twins[rest]).predict_proba(cosines[~rest])[:, 1]
    return chance


def area(chance: np.ndarray, yes: np.ndarray, no: np.ndarray) -> float:
    """Area under the receiver operating characteristic."""
    return float((chance[yes][:, None] > chance[no]).mean() + 0.5 * (chance[yes][:, None] == chance[no]).mean())


def main() -> None:
    with READ.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(row for row in file if not row.startswith("#")))
    source = np.array([row["source"] for row in rows])
    twins = np.array([WORTH[row["read"]] for row in rows])
    cosines = np.array([[float(row["embedding"]), float(row["clip"])] for row in rows])
    yes, no = twins >= 0.75, twins <= 0.25
    print(f"{len(rows)} pairs of {len(np.unique(source))} shoots: {yes.sum()} twins, {no.sum()} kin or strangers")
    print("| cues | area | log loss | twins found | kin taken for twins |\n| --- | --- | --- | --- | --- |")
    tried = {name: cosines[:, columns] for name, columns in CUES.items()} | {"both, as kept": (cosines @ KEPT)[:, None]}
    for name, given in tried.items():
        chance = left_out(given, twins, source)
        loss = -(twins * np.log(chance) + (1 - twins) * np.log(1 - chance)).mean()
        said = chance > 0.5
        print(f"| {name} | {area(chance, yes, no):.3f} | {loss:.3f} | {said[yes].mean():.1%} | {said[no].mean():.1%} |")
    found = fit(cosines, twins)
    print(f"both, on all: weights {found.coef_[0].round(2)}, offset {found.intercept_[0]:.2f}")
    likeness = cosines @ KEPT
    kept = fit(likeness[:, None], twins)
    print(f"as kept, on all: slope {kept.coef_[0][0]:.2f}, offset {kept.intercept_[0]:.2f}")
    print("| likeness | pairs | twins |\n| --- | --- | --- |")
    for low, high in pairwise(BANDS):
        here = (likeness >= low) & (likeness < high)
        if here.any():
            print(f"| {low:.2f} to {high:.2f} | {here.sum()} | {twins[here].mean():.0%} |")


if __name__ == "__main__":
    main()
