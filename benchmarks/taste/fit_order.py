"""Fit the order in which sets are shown to orders by eye and to judged pairs of orders; judge it on shoots left out.

    python benchmarks/taste/fit_order.py [--write]

``orders.npz`` has the prints of sets of three and five as editors, vision-language models, put them in order from
sheets where they stood in none, and pairs of orders of the same five prints of which judges, such models too, preferred
the first. For each print: the odds of a wide and a close view, the mid tone, appeal, and where CLIP sees it on 48
principal axes (``axes``, of many shoots); for each set how alike its prints are and their ranks by time. A choice among
all orders is a conditional logit (D. McFadden, "Conditional logit analysis of qualitative choice behavior", 1974);
judged pairs then weigh its logits against what counts in them besides. The terms are those of
``setsolver.layout.sequence``, whose weights ``fit_ranked.py`` tells from ranked orders since; what CLIP sees in the
first and the last print becomes ``setsolver/models/ends.npz``.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from itertools import permutations
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

TABLE = Path(__file__).with_name("orders.npz")
OUT = Path(__file__).parents[2] / "setsolver" / "models" / "ends.npz"
FOLDS = 6
AXIS = 3 / np.sqrt(48)
"""What an axis counts against the other terms, which are scaled by how far they spread."""
RIDGE, RIDGE_SEEN = 0.02, 0.005
STORY = ("time", "opens_wide", "opens_close", "opens_strong", "opens_apart", "ends_light", "ends_strong", "ends_apart")
WALL = ("time", "apart", "middle")
JUDGED = ("opens_wide", "opens_strong", "ends_strong")
"""What judged pairs add to the logits of the orders by eye."""


@dataclass(frozen=True)
class Sets:
    """Orders of n prints, s of them: numbers [s, n, 4], seen [s, n, 48], alike [s, n, n], rank [s, n], timed [s]."""

    numbers: np.ndarray
    seen: np.ndarray
    alike: np.ndarray
    rank: np.ndarray
    timed: np.ndarray
    shoot: np.ndarray

    @property
    def prints(self) -> int:
        """How many prints a set has."""
        return self.rank.shape[1]

    @property
    def orders(self) -> np.ndarray:
        """All orders; the first is the one that they stand in."""
        return np.array(list(permutations(range(self.prints))))

    def worths(self, names: tuple[str, ...], *, seen: bool) -> np.ndarray:
        """What ``sequence.Taste`` weighs of every order, and what CLIP sees at both ends; [s, orders, terms]."""
        at, wide, close = self.orders, self.numbers[:, :, 0], self.numbers[:, :, 1]
        tone, appeal, unlike = self.numbers[:, :, 2], self.numbers[:, :, 3], 1 - self.alike.mean(axis=2)
        first, last, middle = at[:, 0], at[:, -1], at[:, self.prints // 2]
        line = np.linspace(-0.5, 0.5, self.prints)
        placed = (self.rank / (self.prints - 1) - 0.5) * self.timed[:, None]
        terms = {
            "time": placed[:, at] @ line,
            "opens_wide": wide[:, first],
            "opens_close": close[:, first],
            "opens_strong": appeal[:, first],
            "opens_apart": unlike[:, first],
            "ends_light": tone[:, last],
            "ends_strong": appeal[:, last],
            "ends_apart": unlike[:, last],
            "apart": unlike[:, middle],
            "middle": appeal[:, middle],
        }
        rows = [np.stack([terms[name] for name in names], axis=2)]
        if seen:
            rows += [self.seen[:, first] * AXIS, self.seen[:, last] * AXIS]
        return np.concatenate(rows, axis=2)


def load() -> tuple[dict[int, Sets], Sets, np.ndarray, np.ndarray]:
    """Orders by eye of three and five prints; the preferred orders of judged pairs, the others, and CLIP's axes."""
    with np.load(TABLE) as data:
        table = {name: data[name] for name in data.files}
    numbers, seen = table["numbers"].astype(float), table["seen"].astype(float)

    def sets(rows: np.ndarray, before: str, count: int) -> Sets:
        of = {name: table[before + name][rows] for name in ("prints", "alike", "rank", "timed", "shoot")}
        prints = of["prints"][:, :count]
        alike = of["alike"][:, :count, :count].astype(float)
        return Sets(numbers[prints], seen[prints], alike, of["rank"][:, :count], of["timed"], of["shoot"])

    by_eye = {count: sets(np.flatnonzero(table["kind"] == count), "", count) for count in (3, 5)}
    judged = sets(np.arange(len(table["judged_shoot"])), "judged_", 5)
    return by_eye, judged, table["judged_other"], table["axes"].astype(float)


def fitted(rows: np.ndarray, plain: int) -> np.ndarray:
    """Weights of the logit by which the first order is chosen; the first ``plain`` terms are scaled by their spread."""
    scale = np.ones(rows.shape[2])
    scale[:plain] = 1 / (rows[:, :, :plain].reshape(-1, plain).std(axis=0) + 1e-9)
    ridge = np.where(np.arange(len(scale)) < plain, RIDGE, RIDGE_SEEN)
    scaled = rows * scale

    def loss(given: np.ndarray) -> tuple[float, np.ndarray]:
        said = scaled @ given
        said -= said.max(axis=1, keepdims=True)
        odds = np.exp(said)
        total = odds.sum(axis=1, keepdims=True)
        slope = (np.einsum("so,sot->st", odds / total, scaled) - scaled[:, 0]).mean(axis=0)
        missed = (np.log(total[:, 0]) - said[:, 0]).mean()
        return missed + ridge @ given**2, slope + 2 * ridge * given

    return minimize(loss, np.zeros(len(scale)), jac=True, method="L-BFGS-B").x * scale


def weighed(won: np.ndarray) -> np.ndarray:
    """Weights of a logit by which the preferred order of each pair wins, from its lead in each term, [pairs, terms]."""
    scale = 1 / (won.std(axis=0) + 1e-9)

    def loss(given: np.ndarray) -> tuple[float, np.ndarray]:
        lead = won * scale @ given
        doubt = 1 / (1 + np.exp(lead))
        return np.log1p(np.exp(-lead)).mean() + 0.003 * given @ given, -(doubt @ (won * scale)) / len(
            won
        ) + 0.006 * given

    return minimize(loss, np.zeros(len(scale)), jac=True, method="L-BFGS-B").x * scale


def folds_of(*shoots: np.ndarray) -> list[np.ndarray]:
    """For each array of shoots the fold of each, the same for one shoot everywhere."""
    fold = {one: k % FOLDS for k, one in enumerate(np.unique(np.concatenate(shoots)))}
    return [np.array([fold[one] for one in each]) for each in shoots]


def told(said: np.ndarray, orders: np.ndarray) -> tuple[float, float, float]:
    """Mean log likelihood of the editors' orders, how often the first and the last print are right (ties shared)."""
    top = said >= said.max(axis=1, keepdims=True) - 1e-9
    share = top / top.sum(axis=1, keepdims=True)
    likely = said[:, 0] - said.max(axis=1) - np.log(np.exp(said - said.max(axis=1, keepdims=True)).sum(axis=1))
    first, last = orders[:, 0] == 0, orders[:, -1] == orders.shape[1] - 1
    return float(likely.mean()), float((share @ first).mean()), float((share @ last).mean())


def report(count: int, by_eye: Sets, names: tuple[str, ...], *, seen: bool) -> np.ndarray:
    """Print what orders of shoots left out are told like; return the weights from all."""
    rows = by_eye.worths(names, seen=seen)
    folds, said = folds_of(by_eye.shoot)[0], np.empty(rows.shape[:2])
    for k in range(FOLDS):
        said[folds == k] = rows[folds == k] @ fitted(rows[folds != k], len(names))
    weights = fitted(rows, len(names))
    words = ", ".join(f"{name} {value:.1f}" for name, value in zip(names, weights, strict=False))
    likely, first, last = told(said, by_eye.orders)
    what = " and what CLIP sees at both ends" if seen else ""
    print(f"{count}: log likelihood {likely:.3f}, opens right {first:.0%}, ends right {last:.0%}: {words}{what}")
    return weights


def leads(judged: Sets, other: np.ndarray, weights: np.ndarray) -> np.ndarray:
    """How far the preferred order leads in the logits of the orders by eye, and in each of JUDGED; [pairs, 4]."""
    at = {tuple(order): k for k, order in enumerate(judged.orders)}
    places = np.array([at[tuple(order)] for order in other])
    each = np.arange(len(other))
    rows, extra = judged.worths(STORY, seen=True), judged.worths(JUDGED, seen=False)
    said = rows @ weights
    return np.column_stack([said[:, 0] - said[each, places], extra[:, 0] - extra[each, places]])


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--write", action="store_true", help=f"write {OUT.name}")
    asked = options.parse_args()
    by_eye, judged, other, axes = load()
    for count, names in ((5, STORY), (3, WALL)):
        one = by_eye[count]
        chance = -np.log(len(one.orders))
        print(f"\nsets of {count}: {len(one.rank)} of {len(np.unique(one.shoot))} shoots; of any order {chance:.3f}")
        report(count, one, names[:1], seen=False)
        weights = report(count, one, names, seen=False)
    weights = report(5, by_eye[5], STORY, seen=True)
    rows = by_eye[5].worths(STORY, seen=True)
    eye_folds, folds = folds_of(by_eye[5].shoot, judged.shoot)
    print(f"\njudged pairs of orders: {len(other)} of {len(np.unique(judged.shoot))} shoots")
    right = np.empty((2, len(other)))
    for k in range(FOLDS):
        won = leads(judged, other, fitted(rows[eye_folds != k], len(STORY)))
        right[0, folds == k] = won[folds == k, 0] > 0
        right[1, folds == k] = won[folds == k] @ weighed(won[folds != k]) > 0
    print(f"told by the orders by eye alone {right[0].mean():.0%}, with {', '.join(JUDGED)} {right[1].mean():.0%}")
    added = weighed(leads(judged, other, weights))
    final = dict(zip(STORY, weights, strict=False))
    for name, value in zip(JUDGED, added[1:] / added[0], strict=True):
        final[name] += value
    print("sequence.STORY: " + ", ".join(f"{name}={value:.1f}" for name, value in final.items()))
    if asked.write:
        opens, ends = (weights[len(STORY) :].reshape(2, -1) * AXIS) @ axes
        np.savez(OUT, opens=opens.astype(np.float32), ends=ends.astype(np.float32))
        print(f"wrote {OUT.name}")


if __name__ == "__main__":
    main()
