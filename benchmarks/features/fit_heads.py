"""Fit the heads for scale from one embedding, horizon and people, judge them on sources left out, and write them.

    python benchmarks/features/fit_heads.py [--write]

Every row of the table is predicted by a head fitted without its source. The power of the odds is fitted to those
predictions; the shipped heads are fitted on everything. Scale is told by kernel regression (kernel.py), horizon and
people by logistic regression. ``--nested`` chooses the kernel's setting anew for each fifth of the sources, by the
other sources alone (some minutes).
"""

from __future__ import annotations

import argparse
from pathlib import Path

import kernel
import numpy as np
from kernel import Places, Setting, whole_fit
from scale_report import HEADINGS, diagram, reliability, report
from scipy.optimize import minimize
from sklearn.linear_model import LogisticRegression
from sklearn.model_selection import GroupKFold
from sklearn.pipeline import make_pipeline
from sklearn.preprocessing import StandardScaler
from table import FIRST_PACKAGE, Table, load, right

from setsolver.features.faces import LIKELY_PEOPLE
from setsolver.features.head import Head, softmax
from setsolver.features.kernel_head import KernelHead, odds_of
from setsolver.features.models import HEADS_FILE

STIFFNESS = {"horizon": 2e-4, "people": 3e-4}
"""Quadratic penalty on the weights of standardised inputs divided by the square root of their number."""
AXES = 600
"""Principal axes kept; all of them change the table by less than its rounding."""
OUT = Path(__file__).parents[2] / "setsolver" / "models" / HEADS_FILE
OUT_DIAGRAM = Path(__file__).with_name("reliability.svg")
CHOICES = [Setting(axes, narrow, ridge) for axes in (128, 256) for narrow in (0.7, 1.0, 1.3) for ridge in (0.1, 0.2)]


def places(inputs: np.ndarray) -> Places:
    return kernel.places(inputs, Setting(axes=AXES))


def fit(at: np.ndarray, target: np.ndarray, stiffness: float) -> np.ndarray:
    """Multinomial logistic regression on soft targets, classes weighted half way to balance; [axes + 1, classes]."""
    share, classes = target.sum(axis=0), target.shape[1]
    weight = target @ (share.mean() / share) ** 0.5
    weight /= weight.mean()
    with_one = np.hstack([at, np.ones((len(at), 1))])
    stiff = np.append(np.full(at.shape[1], stiffness), 0.0)[:, None]

    def loss(flat: np.ndarray) -> tuple[float, np.ndarray]:
        matrix = flat.reshape(-1, classes)
        guess = softmax(with_one @ matrix)
        cost = -(weight[:, None] * target * np.log(guess + 1e-12)).sum() / len(at)
        slope = with_one.T @ (weight[:, None] * (guess - target)) / len(at)
        return cost + 0.5 * float((stiff * matrix**2).sum()), (slope + stiff * matrix).ravel()

    start = np.zeros(with_one.shape[1] * classes)
    found = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": 150})
    return found.x.reshape(-1, classes)


def head_of(where: Places, matrix: np.ndarray) -> Head:
    weights = where.axes @ matrix[:-1] / np.sqrt(len(where.mean))
    return Head(where.mean, where.deviation, weights.astype(np.float32), matrix[-1].astype(np.float32), 1.0)


def held_out(at: np.ndarray, target: np.ndarray, source: np.ndarray, stiffness: float) -> np.ndarray:
    """Odds of every row by a head fitted without its source."""
    odds = np.zeros_like(target)
    for one in np.unique(source):
        rest = source != one
        matrix = fit(at[rest], target[rest], stiffness)
        odds[~rest] = softmax(at[~rest] @ matrix[:-1] + matrix[-1])
    return odds


def subset(table: Table, rows: np.ndarray) -> Table:
    return Table(*(getattr(table, name)[rows] for name in table.__dataclass_fields__))


def calibrated(said: np.ndarray, table: Table) -> tuple[np.ndarray, float]:
    power = kernel.power(said, table.first[:, 0])
    return odds_of(said, power), power


def fit_scale(name: str, table: Table, inputs: np.ndarray, *, detailed: bool) -> KernelHead:
    where = kernel.places(inputs)
    odds, power = calibrated(kernel.held_out(where.at, table.target, table.source), table)
    print(f"\n{name}: power {power:.2f}\n{'source':<44} {'n':>5}" + "".join(f"{head:>11}" for head in HEADINGS))
    given = table.source < FIRST_PACKAGE
    report("given sources, left out one by one", odds, table, given)
    report("packages, left out one by one", odds, table, ~given)
    if detailed:
        by_source(odds, table)
        reliability(odds, table)
        diagram(odds, table, OUT_DIAGRAM)
    return whole_fit(where, table.target, table.source, power)


def by_source(odds: np.ndarray, table: Table) -> None:
    report("given sources, two readers (442)", odds, table, (table.source >= 100) & (table.source < FIRST_PACKAGE))
    for one in np.unique(table.source):
        if (table.source == one).sum() >= 20:
            report(f"source {one}", odds, table, table.source == one)


def plain_baseline(table: Table) -> None:
    """Logistic regression, C 0.001, balanced, on standardised plain embeddings: the floor, by the same protocol."""
    given = subset(table, table.source < FIRST_PACKAGE)
    for name, rows in (("given sources alone", given), ("with packages", table)):
        odds = np.zeros((len(rows.first), 3))
        for train, test in GroupKFold(12).split(rows.whole, groups=rows.source):
            model = make_pipeline(StandardScaler(), LogisticRegression(C=0.001, class_weight="balanced", max_iter=300))
            odds[test] = model.fit(rows.whole[train], rows.first[train, 0]).predict_proba(rows.whole[test])
        report(f"plain logistic, {name}, 12 folds", odds, rows, rows.source < FIRST_PACKAGE)


def fewer_rows(table: Table) -> None:
    """The kernel head fitted without the packages: what more photographs bring."""
    given = subset(table, table.source < FIRST_PACKAGE)
    where = kernel.places(np.hstack([given.whole, given.inner]))
    odds, _ = calibrated(kernel.held_out(where.at, given.target, given.source), given)
    report("kernel, fitted without the packages", odds, given, np.ones(len(odds), bool))


def nested(table: Table) -> None:
    """Choose axes, narrowness and ridge for each fifth of the sources by leaving one out among the others."""
    inputs, odds = np.hstack([table.whole, table.inner]), np.zeros((len(table.first), 3))
    for train, test in GroupKFold(5).split(inputs, groups=table.source):
        rest = subset(table, train)
        marks = [
            right(kernel.held_out(kernel.places(inputs[train], s).at, rest.target, rest.source, s), rest)[0]
            for s in CHOICES
        ]
        best = CHOICES[int(np.argmax([mark.mean() for mark in marks]))]
        said = kernel.held_out(kernel.places(inputs, best).at, table.target, table.source, best)
        odds[test] = odds_of(said[test], kernel.power(said[train], rest.first[:, 0]))
        print(f"fifth of {len(test)} photographs: {best}")
    report("given sources, setting chosen by others", odds, table, table.source < FIRST_PACKAGE)


def fit_horizon(table: Table) -> Head:
    chance = table.horizon / 2
    target = np.stack([1 - chance, chance], axis=1)
    where = places(table.whole)
    odds = held_out(where.at, target, table.source, STIFFNESS["horizon"])[:, 1]
    has, hasnt = odds[chance > 0.5], odds[chance == 0]
    area = (has[:, None] > hasnt[None]).mean()
    print(f"\nhorizon: {len(has)} of {len(odds)} have one; area under the curve {area:.3f}; odds >= 0.45:"
          f" {(has >= 0.45).mean():.0%} of those with, {(hasnt >= 0.45).mean():.1%} of those without")  # fmt: skip
    return head_of(where, fit(where.at, target, STIFFNESS["horizon"]))


def fit_people(table: Table) -> Head:
    has = (table.people > 0).astype(float)
    where, target = places(table.whole), np.stack([1 - has, has], axis=1)
    odds = held_out(where.at, target, table.source, STIFFNESS["people"])[:, 1]
    kept = [(odds[table.people == word] >= LIKELY_PEOPLE).mean() for word in (2, 1, 0)]
    print(f"\npeople: odds >= {LIKELY_PEOPLE}: {kept[0]:.1%} of usable faces, {kept[1]:.1%} of visible people,"
          f" {kept[2]:.1%} of the rest")  # fmt: skip
    return head_of(where, fit(where.at, target, STIFFNESS["people"]))


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--write", action="store_true", help=f"write {OUT.name}")
    options.add_argument("--nested", action="store_true", help="choose the kernel's setting without the sources judged")
    asked = options.parse_args()
    table = load()
    scaled = subset(table, table.usable)
    heads: dict[str, Head | KernelHead] = {
        "scale_alone": fit_scale("scale_alone", scaled, scaled.whole, detailed=True),
        "horizon": fit_horizon(subset(table, table.horizon >= 0)),
        "people": fit_people(table),
    }
    print("\ncompared on the given sources")
    fewer_rows(scaled)
    plain_baseline(scaled)
    if asked.nested:
        nested(scaled)
    if asked.write:
        arrays = {key: value for name, head in heads.items() for key, value in head.arrays(name).items()}
        middle = table.whole[table.source < FIRST_PACKAGE].mean(axis=0).astype(np.float32)
        np.savez(OUT, **arrays, likeness_mean=middle)  # compressed it is a third smaller and loads in thrice the time
        print(f"\nwrote {OUT.name}, {OUT.stat().st_size / 1e3:.0f} kB")


if __name__ == "__main__":
    main()
