"""Fit weights to the choices in ``choices.csv``, shoots left out whole, and say what each term earns.

    python benchmarks/taste/fit.py

Needs no photographs. A row is a preference: differences of phi, a frame of the set, between the set preferred and the
other. Judged pairs count in full, picks over random others a thirtieth each.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

CHOICES = Path(__file__).with_name("choices.csv")
TERMS = (
    "appeal",
    "solid",
    "people",
    "kept",
    "role",
    "composition",
    "palette",
    "light",
    "content",
    "time",
    "mono",
    "repeats",
)
RIDGE, PICK, FOLDS = 0.02, 0.03, 8
SURE = {1: 0.5, 2: 1.0, 3: 1.5}


def fit(apart: np.ndarray, worth: np.ndarray) -> np.ndarray:
    def loss(w: np.ndarray) -> tuple[float, np.ndarray]:
        margin = apart @ w
        slope = (apart * (worth / (1 + np.exp(margin)))[:, None]).sum(axis=0) / worth.sum()
        return float(
            (worth * np.logaddexp(0, -margin)).sum() / worth.sum() + RIDGE * (w**2).sum()
        ), 2 * RIDGE * w - slope

    start = np.full(apart.shape[1], 0.1)
    return np.asarray(minimize(loss, start, jac=True, bounds=[(0, None)] * len(start), method="L-BFGS-B").x)


def left_out(apart: np.ndarray, worth: np.ndarray, shoot: np.ndarray) -> np.ndarray:
    fold = np.unique(shoot, return_inverse=True)[1] % FOLDS
    right = np.zeros(len(apart))
    for out in range(FOLDS):
        margin = apart[fold == out] @ fit(apart[fold != out], worth[fold != out])
        right[fold == out] = (margin > 0) + 0.5 * (margin == 0)
    return right


def main() -> None:
    with CHOICES.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    apart = np.array([[float(row[term]) for term in TERMS] for row in rows])
    pick = np.array([row["from"] == "pick" for row in rows])
    shoot = np.array([row["shoot"] for row in rows])
    worth = np.where(pick, PICK, [SURE[int(row["sure"])] for row in rows])
    scale = apart[~pick].std(axis=0)
    apart = apart / scale
    right = left_out(apart, worth, shoot)
    print(f"{(~pick).sum()} judged pairs, {pick.sum()} picks over random others, {len(set(shoot))} sources")
    print(f"told rightly, sources left out: {right[~pick].mean():.1%} of pairs, {right[pick].mean():.1%} of picks")
    weights = fit(apart, worth) / scale
    print("| term | weight | pairs told without it | picks told without it |\n| --- | --- | --- | --- |")
    for at, term in enumerate(TERMS):
        rest = left_out(np.delete(apart, at, axis=1), worth, shoot)
        print(f"| {term} | {weights[at]:.3f} | {rest[~pick].mean():.1%} | {rest[pick].mean():.1%} |")


if __name__ == "__main__":
    main()
