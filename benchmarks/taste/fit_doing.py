"""Tell by which kinds of picture sets picked by eye differ from what the frames' appeal alone would choose.

    python benchmarks/taste/fit_doing.py

Needs no photographs. ``doing.npz`` has of every frame its appeal and the odds of what people do in it, both told by
models that had not seen its shoot, and whether a picker took it for the three and for the five; pickers, and the
readers whom the models learned from, are vision models. Appeal and odds are taken about the shoot's mean; weights are
against a frame of "nobody"; ten folds of whole shoots are left out. ``worth_of`` in setsolver/rules/doing.py rounds
what the weights say to one number.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
from sklearn.linear_model import LogisticRegression
from sklearn.metrics import roc_auc_score
from sklearn.model_selection import GroupKFold

from setsolver.domain.measures import Showing
from setsolver.features.showing import SUMS
from setsolver.rules.doing import worth_of

HERE = Path(__file__).parent
TABLE = HERE / "doing.npz"
READ = HERE.parent / "features" / "showing_table.npz"
FOLDS = 10
INVERSE_RIDGE = 0.5
KINDS = Showing._fields
JUDGED = "new 7"
"""The round of votes.csv with the thirty shoots on which sets with kinds paid were judged, later."""


def about_shoot(values: np.ndarray, shoot: np.ndarray) -> np.ndarray:
    """Each row of ``values`` [n, k] less the mean of its shoot."""
    out = values.astype(np.float64)
    for one in np.unique(shoot):
        out[shoot == one] -= out[shoot == one].mean(axis=0)
    return out


def model() -> LogisticRegression:
    return LogisticRegression(C=INVERSE_RIDGE, max_iter=1000)


def left_out(parts: np.ndarray, picked: np.ndarray, shoot: np.ndarray) -> tuple[float, float]:
    """Mean area within a shoot, and log loss, by models fitted without a tenth of the shoots."""
    said = np.empty(len(picked))
    for train, test in GroupKFold(FOLDS, shuffle=True, random_state=0).split(parts, groups=shoot):
        said[test] = model().fit(parts[train], picked[train]).decision_function(parts[test])
    areas = [roc_auc_score(picked[shoot == one], said[shoot == one]) for one in np.unique(shoot)]
    return float(np.mean(areas)), float(np.logaddexp(0, np.where(picked, -said, said)).mean())


def weights(parts: np.ndarray, picked: np.ndarray) -> str:
    """Weights relative to that of appeal, the first part."""
    fitted = model().fit(parts, picked).coef_[0]
    return ", ".join(f"{one:+.2f}" for one in fitted[1:] / fitted[0]) or "-"


def fits(data: dict[str, np.ndarray], prints: str) -> None:
    shoot, picked = data["shoot"], data[f"picked_{prints}"]
    appeal, odds = about_shoot(data["appeal"][:, None], shoot), about_shoot(data["odds"], shoot)
    worth = np.array([2 * worth_of(Showing(*row)) - 1 for row in data["odds"].tolist()])
    kinds = np.hstack([appeal, odds[:, :-1]])
    print(f"\nPicked for the {prints}: {picked.sum()} of {len(picked)} frames, {len(np.unique(shoot))} shoots\n")
    print(f"| by | area | log loss | weights for 1 of appeal |\n{'| --- ' * 4}|")
    for name, parts in (
        ("appeal alone", appeal),
        (f"and {', '.join(KINDS[:-1])}", kinds),
        ("and what the term pays", np.hstack([appeal, about_shoot(worth[:, None], shoot)])),
    ):
        area, loss = left_out(parts, picked, shoot)
        print(f"| {name} | {area:.3f} | {loss:.4f} | {weights(parts, picked)} |")
    other = ~data["judged"]
    print(f"\nweights without the shoots judged: {weights(kinds[other], picked[other])}")


def counts(data: dict[str, np.ndarray]) -> None:
    """Print how many frames of each kind, as readers named them, a set holds: picked, of most appeal, at random."""
    read = data["read"][:, None] == np.array(KINDS)
    shoots = [np.flatnonzero(data["shoot"] == one) for one in np.unique(data["shoot"])]
    print(f"\n| frames a set | {' | '.join(KINDS)} |\n{'| --- ' * (1 + len(KINDS))}|")
    for prints, size in (("three", 3), ("five", 5)):
        picked = [rows[data[f"picked_{prints}"][rows]] for rows in shoots]
        best = [rows[np.argsort(-data["appeal"][rows])[:size]] for rows in shoots]
        for name, sets in (
            (f"{prints}, picked", [read[rows].sum(axis=0) for rows in picked]),
            (f"{prints} of most appeal", [read[rows].sum(axis=0) for rows in best]),
            (f"{prints} at random", [size * read[rows].mean(axis=0) for rows in shoots]),
            (
                f"{prints}, picked, shoots judged",
                [read[rows].sum(axis=0) for rows in picked if data["judged"][rows[0]]],
            ),
        ):
            print(f"| {name} | {' | '.join(f'{one:.2f}' for one in np.mean(sets, axis=0))} |")


def load() -> dict[str, np.ndarray]:
    """The table, with what readers named each frame by, and whether its shoot is of the round ``JUDGED``."""
    with np.load(TABLE) as table:
        data = {name: table[name] for name in table.files}
    kind = {letter: name for name, letters in SUMS.items() for letter in letters}
    with np.load(READ) as table:
        read = dict(zip(table["id"].tolist(), table["letter"].tolist(), strict=True))
    with (HERE / "votes.csv").open(encoding="utf-8") as file:
        judged = {row["shoot"] for row in csv.DictReader(file) if row["round"] == JUDGED}
    data["read"] = np.array([kind[read[one]] for one in data["id"].tolist()])
    data["judged"] = np.isin(data["shoot"], list(judged))
    return data


def main() -> None:
    data = load()
    for prints in ("three", "five"):
        fits(data, prints)
    counts(data)


if __name__ == "__main__":
    main()
