"""Fit the head that tells whether a frame shows people: ``setsolver/models/people.npz``.

    python benchmarks/taste/fit_people.py

Needs no photographs: looks are those of ``benchmarks/features/appeal_table.npz``, readings those of ``people.csv``.
There are people where a reader said so, where a word for a person stands in what a reader wrote, or where the face
detector found a face; some that all three missed are counted as none. Prints agreement with whole sources left out.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
from sklearn.linear_model import LogisticRegression
from sklearn.metrics import roc_auc_score
from sklearn.model_selection import GroupKFold

HERE = Path(__file__).parent
TABLE = HERE.parent / "features" / "appeal_table.npz"
OUT = HERE.parents[1] / "setsolver" / "models" / "people.npz"


def main() -> None:
    with (HERE / "people.csv").open(encoding="utf-8") as file:
        said = {row["id"]: row["people"] == "1" for row in csv.DictReader(file)}
    with np.load(TABLE) as table:
        look = table["clip"] * table["clip_step"].astype(np.float64) + table["clip_least"]
        there, source = np.array([said[one] for one in table["id"]]), table["source"]
    look /= np.linalg.norm(look, axis=1, keepdims=True)
    middle = look.mean(axis=0)
    spread = float((look - middle).std())
    at, chance = (look - middle) / spread, np.zeros(len(look))
    for rest, out in GroupKFold(6).split(at, there, source):
        chance[out] = LogisticRegression(C=0.003, max_iter=1000).fit(at[rest], there[rest]).predict_proba(at[out])[:, 1]
    area, right = roc_auc_score(there, chance), ((chance > 0.5) == there).mean()
    print(
        f"{len(look)} photographs, {there.mean():.0%} with people; sources left out: area {area:.3f}, right {right:.1%}"
    )
    model = LogisticRegression(C=0.003, max_iter=1000).fit(at, there)
    weights = model.coef_[0] / spread
    bias = np.array([model.intercept_[0] - middle @ weights], np.float32)
    np.savez(OUT, weights=weights.astype(np.float32), bias=bias)


if __name__ == "__main__":
    main()
