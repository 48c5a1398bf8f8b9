"""Fit the order in which sets are shown to orders by eye; judge it on shoots left out.

    python benchmarks/taste/fit_order.py

``orders.npz`` has the prints of sets of three and five as editors, vision-language models, put them in order from
sheets where they stood in none: for each print the odds of a wide and a close view, the mid tone, appeal and the rank
by time, and how alike they are. A choice among all orders is a conditional logit (D. McFadden, "Conditional logit
analysis of qualitative choice behavior", 1974). The weights are those of ``setsolver.layout.sequence``.
"""

from __future__ import annotations

from itertools import permutations
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

TABLE = Path(__file__).with_name("orders.npz")
FOLDS, RIDGE = 8, 0.01
TERMS = {
    5: ("time", "opens_wide", "opens_close", "ends_light", "ends_strong"),
    3: ("time", "apart", "middle"),
}
TRIED = {5: ("beside",), 3: ("opens_wide", "ends_strong")}


def worths(numbers: np.ndarray, alike: np.ndarray, timed: np.bool_) -> dict[str, np.ndarray]:
    """Of every order of n prints, the editor's own (0, 1, ..., n - 1) first: what ``sequence.Taste`` weighs."""
    count = len(numbers)
    orders = np.array(list(permutations(range(count))))
    wide, close, tone, appeal, rank = numbers.T
    line = np.linspace(-0.5, 0.5, count)
    placed = (rank / (count - 1) - 0.5) * timed
    first, last, middle = orders[:, 0], orders[:, -1], orders[:, count // 2]
    return {
        "time": placed[orders] @ line,
        "opens_wide": wide[first],
        "opens_close": close[first],
        "ends_light": tone[last],
        "ends_strong": appeal[last],
        "beside": alike[orders[:, :-1], orders[:, 1:]].sum(axis=1),
        "apart": 1 - alike.mean(axis=1)[middle],
        "middle": appeal[middle],
    }


def fitted(rows: list[np.ndarray]) -> np.ndarray:
    scale = 1 / (np.concatenate(rows).std(axis=0) + 1e-9)

    def loss(given: np.ndarray) -> tuple[float, np.ndarray]:
        total, slope = RIDGE * given @ given, 2 * RIDGE * given
        for one in rows:
            said = one * scale @ given
            odds = np.exp(said - said.max())
            total -= (said[0] - said.max() - np.log(odds.sum())) / len(rows)
            slope = slope + (odds / odds.sum() @ one - one[0]) * scale / len(rows)
        return total, slope

    return minimize(loss, np.zeros(len(scale)), jac=True, method="L-BFGS-B").x * scale


def judged(rows: list[np.ndarray], shoots: np.ndarray) -> tuple[float, float, float]:
    """Mean log likelihood of the editor's order, how often the first and last print are right; shoots left out."""
    count = {6: 3, 120: 5}[len(rows[0])]
    orders = np.array(list(permutations(range(count))))
    fold = {one: k % FOLDS for k, one in enumerate(np.unique(shoots))}
    folds, told = np.array([fold[one] for one in shoots]), []
    for k in range(FOLDS):
        weights = fitted([one for one, at in zip(rows, folds, strict=True) if at != k])
        for one in (one for one, at in zip(rows, folds, strict=True) if at == k):
            said = one @ weights
            best = orders[said >= said.max() - 1e-9]
            likely = said[0] - said.max() - np.log(np.exp(said - said.max()).sum())
            told.append((likely, (best[:, 0] == 0).mean(), (best[:, -1] == count - 1).mean()))
    likely, first, last = np.mean(told, axis=0)
    return float(likely), float(first), float(last)


def main() -> None:
    with np.load(TABLE) as data:
        table = {name: data[name] for name in data.files}
    for count, terms in TERMS.items():
        of = np.flatnonzero(table["kind"] == count)
        told = [worths(table["numbers"][k][:count], table["alike"][k][:count, :count], table["timed"][k]) for k in of]
        shoots = table["shoot"][of]
        none = -np.log(len(told[0]["time"]))
        print(f"sets of {count}: {len(of)} of {len(np.unique(shoots))} shoots; of any order {none:.3f}")
        for names in (terms[:1], terms, *((*terms, more) for more in TRIED[count])):
            rows = [np.stack([one[name] for name in names], axis=1) for one in told]
            likely, first, last = judged(rows, shoots)
            weights = ", ".join(f"{name} {value:.1f}" for name, value in zip(names, fitted(rows), strict=True))
            print(f"log likelihood {likely:.3f}, opens right {first:.0%}, ends right {last:.0%}: {weights}")


if __name__ == "__main__":
    main()
