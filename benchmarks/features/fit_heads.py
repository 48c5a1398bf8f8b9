"""Fit the heads for shot scale, horizon and people, judge them on sources they were not fitted on, and write them.

    python benchmarks/features/fit_heads.py [--write]

Every row of the table is predicted by a head fitted without its source. The temperature is fitted to those
predictions; the shipped head is fitted on everything.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.optimize import minimize, minimize_scalar
from table import Table, load, right

from setsolver.features.faces import LIKELY_PEOPLE
from setsolver.features.head import Head, softmax
from setsolver.features.models import HEADS_FILE

STIFFNESS = {"scale": 3e-4, "scale_alone": 3e-4, "horizon": 2e-4, "people": 3e-4}
"""Quadratic penalty on the weights of standardised inputs divided by the square root of their number."""
AXES = 600
"""Principal axes kept; all of them change the table by less than its rounding."""
OUT = Path(__file__).parents[2] / "setsolver" / "models" / HEADS_FILE


@dataclass(frozen=True)
class Places:
    """Standardised roots of embeddings, turned onto their own principal axes (no label is used)."""

    mean: np.ndarray
    deviation: np.ndarray
    axes: np.ndarray
    at: np.ndarray


def places(inputs: np.ndarray) -> Places:
    root = np.sqrt(inputs).astype(np.float32)
    mean, deviation = root.mean(axis=0), root.std(axis=0) + 0.02
    unit = (root - mean) / deviation / np.sqrt(root.shape[1])
    u, s, v = np.linalg.svd(unit, full_matrices=False)
    return Places(mean, deviation, v[:AXES].T, (u[:, :AXES] * s[:AXES]).astype(np.float64))


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


def head_of(where: Places, matrix: np.ndarray, warm: float) -> Head:
    weights = where.axes @ matrix[:-1] / np.sqrt(len(where.mean))
    return Head(where.mean, where.deviation, weights.astype(np.float32), matrix[-1].astype(np.float32), warm)


def held_out(at: np.ndarray, target: np.ndarray, source: np.ndarray, stiffness: float) -> np.ndarray:
    """Odds of every row by a head fitted without its source."""
    odds = np.zeros_like(target)
    for one in np.unique(source):
        rest = source != one
        matrix = fit(at[rest], target[rest], stiffness)
        odds[~rest] = softmax(at[~rest] @ matrix[:-1] + matrix[-1])
    return odds


def temperature(odds: np.ndarray, label: np.ndarray) -> float:
    """The temperature under which held-out odds have the best likelihood of the first reading."""
    logits = np.log(np.maximum(odds, 1e-9))
    rows = np.arange(len(label))

    def loss(log_t: float) -> float:
        return -np.log(softmax(logits / np.exp(log_t))[rows, label] + 1e-12).mean()

    return float(np.exp(minimize_scalar(loss, bounds=(-1.5, 1.5), method="bounded").x))


def report(name: str, odds: np.ndarray, table: Table, only: np.ndarray) -> None:
    strict, second = right(odds, table)
    sure = odds.max(axis=1)
    half = only & (sure > np.median(sure[only]))
    unsure = strict & (sure >= 0.5)
    shares = [strict[only], unsure[only], second[only], strict[half], second[half]]
    print(f"{name:<34} {only.sum():>5}" + "".join(f"{share.mean():>11.1%}" for share in shares))


def reliability(odds: np.ndarray, table: Table) -> None:
    strict, _ = right(odds, table)
    sure = odds.max(axis=1)
    print("\nstated odds    n   right")
    for low in (0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95):
        high = {0.9: 0.95, 0.95: 1.01}.get(low, low + 0.1)
        on = (sure >= low) & (sure < high)
        if on.any():
            bounds = f"{low:.2f}-{min(high, 1):.2f}"
            print(f"{bounds} {on.sum():>6} {strict[on].mean():7.1%}  (mean stated {sure[on].mean():.1%})")


def subset(table: Table, rows: np.ndarray) -> Table:
    return Table(*(getattr(table, name)[rows] for name in table.__dataclass_fields__))


def fit_scale(name: str, table: Table, inputs: np.ndarray, *, detailed: bool) -> Head:
    where = places(inputs)
    odds = held_out(where.at, table.target, table.source, STIFFNESS[name])
    warm = temperature(odds, table.first[:, 0])
    odds = softmax(np.log(np.maximum(odds, 1e-9)) / warm)
    print(f"\n{name}: temperature {warm:.2f}")
    heads = ("strict", "unsure out", "+ second", "sure half", "+ second")
    print(f"{'source':<34} {'n':>5}" + "".join(f"{head:>11}" for head in heads))
    report("all, left out by source", odds, table, np.ones(len(odds), bool))
    if detailed:
        for one in np.unique(table.source):
            if (table.source == one).sum() >= 20:
                report(f"source {one}", odds, table, table.source == one)
        reliability(odds, table)
    return head_of(where, fit(where.at, table.target, STIFFNESS[name]), warm)


def fit_horizon(table: Table) -> Head:
    chance = table.horizon / 2
    target = np.stack([1 - chance, chance], axis=1)
    where = places(table.whole)
    odds = held_out(where.at, target, table.source, STIFFNESS["horizon"])[:, 1]
    has, hasnt = odds[chance > 0.5], odds[chance == 0]
    area = (has[:, None] > hasnt[None]).mean()
    print(f"\nhorizon: {len(has)} of {len(odds)} have one; area under the curve {area:.3f}; odds >= 0.45:"
          f" {(has >= 0.45).mean():.0%} of those with, {(hasnt >= 0.45).mean():.1%} of those without")  # fmt: skip
    return head_of(where, fit(where.at, target, STIFFNESS["horizon"]), 1.0)


def fit_people(table: Table) -> Head:
    has = (table.people > 0).astype(float)
    where, target = places(table.whole), np.stack([1 - has, has], axis=1)
    odds = held_out(where.at, target, table.source, STIFFNESS["people"])[:, 1]
    kept = [(odds[table.people == word] >= LIKELY_PEOPLE).mean() for word in (2, 1, 0)]
    print(f"\npeople: odds >= {LIKELY_PEOPLE}: {kept[0]:.1%} of usable faces, {kept[1]:.1%} of visible people,"
          f" {kept[2]:.1%} of the rest")  # fmt: skip
    return head_of(where, fit(where.at, target, STIFFNESS["people"]), 1.0)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--write", action="store_true", help=f"write {OUT.name}")
    write = options.parse_args().write
    table = load()
    scaled = subset(table, table.usable)
    both = np.hstack([scaled.whole, scaled.inner])
    heads = {
        "scale": fit_scale("scale", scaled, both, detailed=True),
        "scale_alone": fit_scale("scale_alone", scaled, scaled.whole, detailed=False),
        "horizon": fit_horizon(subset(table, table.horizon >= 0)),
        "people": fit_people(table),
    }
    if write:
        arrays = {key: value for name, head in heads.items() for key, value in head.arrays(name).items()}
        middle = table.whole.mean(axis=0).astype(np.float32)
        np.savez_compressed(OUT, **arrays, likeness_mean=middle)
        print(f"\nwrote {OUT.name}, {OUT.stat().st_size / 1e3:.0f} kB")


if __name__ == "__main__":
    main()
