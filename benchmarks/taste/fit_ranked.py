"""Fit term weights and the order of prints to sets and orders that judges ranked; judge them on shoots left out.

    python benchmarks/taste/fit_ranked.py

``ranked.npz`` has sheets of up to six sets of one shoot, and of up to six orders of the same prints, with the place
that a judge, a vision-language model that sees nothing but the sheet, gave each. Of a set: the mean over its prints of
what the engine's terms pay before weights, and a few numbers that no term has; of an order: what
``layout.sequence.Taste`` weighs. ``ranked.csv`` has the same rankings of sets with their frames, and each set's weakest
print with the reason as a letter. Any two sets of a sheet are a choice (R. Bradley, M. Terry, "Rank analysis of
incomplete block designs", Biometrika 1952); a sheet weighs as much as it has sets. Weights are given in points of the
default taste, in which a step of 1 of appeal counts 25.
"""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import numpy as np
from sklearn.linear_model import LogisticRegression

TABLE = Path(__file__).with_name("ranked.npz")
FOLDS = 10
RIDGE = 0.003
TERMS = ("appeal", "kept", "composition", "borders", "content", "quality", "role", "light", "palette", "time", "tone")
RARE, ABOUT = "people_rare", "people_about"
STORY = (
    "time", "opens_wide", "opens_close", "opens_strong", "opens_apart", "ends_light", "ends_strong", "ends_apart",
    "opens_seen", "ends_seen", "later_people", "later_ending",
)  # fmt: skip
WALL = ("time", "opens_wide", "opens_close", "apart", "middle")


def choices(rows: np.ndarray, sheet: np.ndarray, place: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Better minus worse [C, terms], a weight [C], and the first row [C], of all pairs of one sheet."""
    parts, weights, of = [], [], []
    for one in np.unique(sheet):
        ranked = np.flatnonzero(sheet == one)
        ranked = ranked[np.argsort(place[ranked])]
        for better, worse in combinations(ranked, 2):
            parts.append(rows[better] - rows[worse])
            weights.append(1 / len(ranked))
            of.append(better)
    return np.array(parts), np.array(weights), np.array(of)


def fit(parts: np.ndarray, weights: np.ndarray) -> np.ndarray:
    """Weights of a logistic choice without a constant; each choice counts half as it is and half turned round."""
    spread, shares = parts.std(axis=0) + 1e-9, weights / weights.sum() / 2
    both, better = np.concatenate([parts, -parts]) / spread, np.repeat([1, 0], len(parts))
    model = LogisticRegression(C=1 / (2 * RIDGE), fit_intercept=False, tol=1e-6)
    return model.fit(both, better, sample_weight=np.concatenate([shares, shares])).coef_[0] / spread


def left_out(parts: np.ndarray, weights: np.ndarray, shoot: np.ndarray) -> tuple[float, float]:
    """Share of choices told rightly, and mean log loss, by weights fitted without the shoot."""
    names = np.unique(shoot)
    fold = dict(zip(np.random.default_rng(0).permutation(names), np.arange(len(names)) % FOLDS, strict=True))
    folds = np.array([fold[one] for one in shoot])
    said = np.empty(len(parts))
    for one in range(FOLDS):
        said[folds == one] = parts[folds == one] @ fit(parts[folds != one], weights[folds != one])
    return float((said > 0).mean()), float(np.average(np.logaddexp(0, -said), weights=weights))


def report(name: str, parts: np.ndarray, weights: np.ndarray, shoot: np.ndarray) -> None:
    right, loss = left_out(parts, weights, shoot)
    print(f"| {name} | {right:.1%} | {loss:.4f} |")


def sets_of(data: dict[str, np.ndarray], prints: int) -> None:
    chosen = data["set_prints"] == prints
    every = list(data["set_terms"])
    parts, weights, of = choices(data["sets"][chosen], data["set_sheet"][chosen], data["set_place"][chosen])
    shoot, sheets = data["set_shoot"][chosen][of], len(np.unique(data["set_sheet"][chosen]))
    print(f"\nSets of {prints}: {sheets} sheets, {len(np.unique(shoot))} shoots, {len(parts)} choices\n")
    print("| by | told rightly | log loss |\n| --- | --- | --- |")
    for name, terms in (
        ("appeal alone", ("appeal",)),
        ("the terms", TERMS),
        ("and people, the more the shoot is about them", (*TERMS, ABOUT)),
        ("and people, the rarer they are", (*TERMS, RARE)),
        ("and what no term has", (*TERMS, RARE, "solid", "alike_most", "widest", "darkest")),
    ):
        report(name, parts[:, [every.index(term) for term in terms]], weights, shoot)
    columns = [every.index(term) for term in (*TERMS, RARE)]
    points = fit(parts[:, columns], weights)
    points *= 25 / points[0]
    print("\npoints:", ", ".join(f"{term} {one:.3g}" for term, one in zip((*TERMS, RARE), points, strict=True)))


def orders_of(data: dict[str, np.ndarray], prints: int, terms: tuple[str, ...]) -> None:
    chosen = data["order_prints"] == prints
    every = list(data["order_terms"])
    parts, weights, of = choices(data["orders"][chosen], data["order_sheet"][chosen], data["order_place"][chosen])
    shoot = data["order_shoot"][chosen][of]
    print(f"\nOrders of {prints}: {len(np.unique(data['order_sheet'][chosen]))} sheets, {len(parts)} choices\n")
    print("| by | told rightly | log loss |\n| --- | --- | --- |")
    report("the rule of before", parts[:, [every.index("before")]], weights, shoot)
    columns = [every.index(term) for term in terms]
    report("fitted", parts[:, columns], weights, shoot)
    logits = fit(parts[:, columns], weights)
    print("\nlogits:", ", ".join(f"{term} {one:.3g}" for term, one in zip(terms, logits, strict=True)))


def main() -> None:
    with np.load(TABLE) as table:
        data = {name: table[name] for name in table.files}
    for prints, terms in ((3, WALL), (5, STORY)):
        sets_of(data, prints)
        orders_of(data, prints, terms)


if __name__ == "__main__":
    main()
