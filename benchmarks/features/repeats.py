"""How the likeness by which twins are parted agrees with what editors would not hang together.

    python benchmarks/features/repeats.py

Needs no photographs: ``repeats.csv`` beside this file has pairs of frames with their cosines and what readers,
vision-language models, say of both in one set. Prints how well each cue tells, shoots left out whole where it is
fitted, and the shares of readings by likeness. ``twins.py`` has fewer pairs and asks for twins alone.
"""

from __future__ import annotations

import csv
from itertools import pairwise
from pathlib import Path

import numpy as np
from sklearn.linear_model import LogisticRegression
from sklearn.metrics import roc_auc_score
from sklearn.model_selection import GroupKFold, cross_val_predict
from sklearn.pipeline import make_pipeline
from sklearn.preprocessing import StandardScaler

from setsolver.domain.twins import SHARES

READ = Path(__file__).with_name("repeats.csv")
ALIKE, REPEAT = 1, 2
BANDS = (0.2, 0.35, 0.4, 0.45, 0.5, 0.55, 0.6, 0.65, 0.7, 0.75, 1.0)
CUES = ("embedding", "clip", "scale", "faces")
FOLDS = 8


def left_out(cues: np.ndarray, yes: np.ndarray, shoot: np.ndarray) -> np.ndarray:
    """Log odds of a logistic regression fitted without the shoot, [n]."""
    model = make_pipeline(StandardScaler(), LogisticRegression())
    return cross_val_predict(model, cues, yes, groups=shoot, cv=GroupKFold(FOLDS), method="decision_function")


def main() -> None:
    with READ.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(row for row in file if not row.startswith("#")))
    shoot, grade = np.array([row["shoot"] for row in rows]), np.array([int(row["grade"]) for row in rows])
    cues = np.array([[float(row[cue]) for cue in CUES] for row in rows])
    likeness = cues[:, :2] @ np.array(SHARES)
    print(f"{len(rows)} pairs of {len(np.unique(shoot))} shoots: {(grade == ALIKE).sum()} alike, ", end="")
    print(f"{(grade == REPEAT).sum()} repeats\n| cues | alike or repeat | repeat |\n| --- | --- | --- |")
    tried = {"EfficientNet-Lite0": cues[:, :1], "CLIP": cues[:, 1:2], "as kept": likeness[:, None]}
    fitted = {"both, fitted": cues[:, :2], "both, scale and faces, fitted": cues}
    for name, given in (tried | fitted).items():
        areas = []
        for least in (ALIKE, REPEAT):
            said = given[:, 0] if name in tried else left_out(given, grade >= least, shoot)
            areas.append(f"{roc_auc_score(grade >= least, said):.3f}")
        print(f"| {name} | {' | '.join(areas)} |")
    print("\n| likeness, as kept | pairs | alike | repeat |\n| --- | --- | --- | --- |")
    for low, high in pairwise(BANDS):
        here = grade[(likeness >= low) & (likeness < high)]
        if len(here):
            shares = f"{(here == ALIKE).mean():.0%} | {(here == REPEAT).mean():.0%}"
            print(f"| {low:.2f} to {high:.2f} | {len(here)} | {shares} |")


if __name__ == "__main__":
    main()
