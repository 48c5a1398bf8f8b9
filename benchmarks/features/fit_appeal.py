"""Fit appeal, judge it on sources it was not fitted to, and write it.

    python benchmarks/features/fit_appeal.py [--write] [--nested] [--detailed]

Every photograph is predicted by a regression fitted without its source, in closed form. What the tuned layers of CLIP
say of a photograph that they were tuned to is no prediction: ``held_shoots.csv`` has what the regression and the layers
say of 49 shoots that neither was fitted to (tune_further.py), and on them the two are mixed. ``--nested`` chooses the
setting anew for each fifth of the sources by the others alone. The readers are vision-language models that saw
contact sheets, not people, and of one make: they agree more than people would.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass, replace
from itertools import product
from pathlib import Path

import numpy as np
from appeal_rows import Rows, load
from appeal_table import names
from make_appeal_table import rows as read_rows
from scipy.stats import spearmanr
from sklearn.model_selection import GroupKFold

from setsolver.features.appeal_head import AppealHead, unit_rows
from setsolver.features.models import APPEAL_FILE

OUT = Path(__file__).parents[2] / "setsolver" / "models" / APPEAL_FILE
COMMON = 0.1
"""A constant added to the kernel: a shift of all frames is nearly free."""
LEAST_SHOOT = 8
"""Fewest photographs of a source by which agreement within it is told."""
TELLING = 3.0
"""Ridge of the regression that tells inner layers."""
HELD = Path(__file__).with_name("held_shoots.csv")
LEVELS = np.array([1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5])


@dataclass(frozen=True)
class Setting:
    """shares : in the squared distance, of CLIP's embedding, its places, Lite0's roots, the numbers, the inner layers.

    axes : kept.
    """

    shares: tuple[float, float, float, float, float] = (0.30, 0.14, 0.10, 0.05, 0.15)
    ridge: float = 0.4
    axes: int = 256


CHOICES = [
    Setting((wide, wide / 2, lite, 0.05, layers), ridge)
    for wide, lite, layers, ridge in product((0.2, 0.3), (0.06, 0.12), (0.06, 0.12), (0.3, 0.5))
]


def blank(table: Rows, setting: Setting) -> AppealHead:
    """A head that knows where frames lie and nothing yet of their appeal."""
    roots = np.sqrt(np.maximum(table.lite, 0))
    numbers = table.numbers[table.measured]
    parts = (table.clip.mean(axis=0), table.places.mean(axis=0), roots.mean(axis=0))
    empty = (np.zeros((1, 1)), np.zeros((1, 1)), np.zeros(1), np.zeros(1), np.zeros(3), LEVELS, np.zeros(len(LEVELS)))
    numeric = (numbers.mean(axis=0), numbers.std(axis=0) + 1e-9)
    arrays = (np.asarray(part, np.float32) for part in (*parts, *numeric, setting.shares, *empty))
    return AppealHead(*arrays)


def numbers(table: Rows) -> np.ndarray:
    """Numbers with those that were not measured at the mean."""
    return np.where(table.measured[:, None], table.numbers, table.numbers[table.measured].mean(axis=0))


def layers(table: Rows) -> np.ndarray:
    """Inner layers, those that are not at hand as ridge regression on both networks' embeddings tells them."""
    seen = (table.clip, table.places, np.sqrt(np.maximum(table.lite, 0)))
    rows = np.hstack([unit_rows(part, part.mean(axis=0)) for part in seen])
    known = rows[table.layered]
    turn = np.linalg.solve(known.T @ known + TELLING * np.eye(known.shape[1]), known.T @ table.layers[table.layered])
    return np.where(table.layered[:, None], table.layers, rows @ turn)


def places(table: Rows, setting: Setting) -> tuple[np.ndarray, np.ndarray]:
    """Principal axes of the table's rows, and where its photographs lie on them."""
    rows = blank(table, setting).rows(table.clip, table.places, table.lite, numbers(table), layers(table))
    spread, turn = np.linalg.eigh(rows.T @ rows)
    axes = turn[:, np.argsort(-spread)[: setting.axes]]
    return axes, rows @ axes


def kernel(one: np.ndarray, two: np.ndarray) -> np.ndarray:
    apart = (one * one).sum(axis=1)[:, None] + (two * two).sum(axis=1) - 2 * one @ two.T
    return np.exp(-np.maximum(apart, 0)) + COMMON


def held_out(at: np.ndarray, target: np.ndarray, source: np.ndarray, ridge: float) -> np.ndarray:
    """What the regression fitted without a row's source says of it; exact, from one inverse (see kernel.py)."""
    middle = target.mean()
    solved = np.linalg.inv(kernel(at, at) + ridge * np.eye(len(at)))
    dual, result = solved @ (target - middle), np.empty(len(target))
    for one in np.unique(source):
        b = source == one
        result[b] = target[b] - np.linalg.solve(solved[np.ix_(b, b)], dual[b])
    return result


def agreement(said: np.ndarray, target: np.ndarray, source: np.ndarray) -> tuple[float, float, int]:
    """Spearman's coefficient over all, its mean within sources of enough photographs, and how many those are."""
    within = []
    for one in np.unique(source):
        b = source == one
        if b.sum() >= LEAST_SHOOT and np.ptp(target[b]) > 0 and np.ptp(said[b]) > 0:
            within.append(spearmanr(said[b], target[b])[0])
    return float(spearmanr(said, target)[0]), float(np.mean(within)), len(within)


def report(name: str, said: np.ndarray, table: Rows, rows: np.ndarray) -> None:
    overall, within, sources = agreement(said[rows], table.target[rows], table.source[rows])
    error = np.sqrt(((said - table.target)[rows] ** 2).mean())
    print(f"| {name} | {rows.sum()} | {overall:.3f} | {within:.3f} | {sources} | {error:.2f} |")


def parts_of(table: Rows) -> dict[str, np.ndarray]:
    older = np.arange(len(table.name)) < table.table
    first = older & np.char.isdigit(np.array([name[0] for name in table.name]))
    return {
        "all": np.ones(len(older), bool),
        "two readers": older,
        "two readers, measures and inner layers": older & table.measured & table.layered,
        "the 442": first,
        "the 1,915": older & ~first,
        "further shoots, one reader": ~older & (table.readers == 1),
        "further shoots, two readers": ~older & (table.readers == 2),
    }


def plain(table: Rows) -> np.ndarray:
    """Ridge regression on CLIP's standardised embedding: the floor, by the same protocol."""
    rows = (table.clip - table.clip.mean(axis=0)) / (table.clip.std(axis=0) + 1e-6) / np.sqrt(table.clip.shape[1])
    middle = table.target.mean()
    solved = np.linalg.inv(rows @ rows.T + COMMON + 0.3 * np.eye(len(rows)))
    dual, result = solved @ (table.target - middle), np.empty(len(rows))
    for one in np.unique(table.source):
        b = table.source == one
        result[b] = table.target[b] - np.linalg.solve(solved[np.ix_(b, b)], dual[b])
    return result


def nested(table: Rows) -> np.ndarray:
    """Predictions of each fifth of the sources by the setting that the other four choose."""
    result = np.empty(len(table.source))
    for train, test in GroupKFold(5, shuffle=True, random_state=0).split(table.clip, groups=table.source):
        marks = []
        for setting in CHOICES:
            _, at = places(table, setting)
            said = held_out(at[train], table.target[train], table.source[train], setting.ridge)
            marks.append(sum(agreement(said, table.target[train], table.source[train])[:2]))
        best = CHOICES[int(np.argmax(marks))]
        _, at = places(table, best)
        result[test] = held_out(at, table.target, table.source, best.ridge)[test]
        print(f"fifth of {len(test)} photographs: {best}")
    return result


def spreads(said: np.ndarray, target: np.ndarray) -> np.ndarray:
    """Root mean square error about each level, under a window of half a point."""
    near = np.exp(-0.5 * ((said[:, None] - LEVELS) / 0.35) ** 2)
    return np.sqrt((near * ((said - target) ** 2)[:, None]).sum(axis=0) / near.sum(axis=0))


def held() -> tuple[np.ndarray, ...]:
    """What the regression and the tuned layers say of the shoots left out, the reader's marks, appeal of before."""
    read = read_rows(HELD)
    names = ("regression", "tuned", "reader", "before")
    return tuple(np.array([float(row[name]) for row in read]) for name in names)


def mixed(said: np.ndarray, tuned: np.ndarray, target: np.ndarray, before: np.ndarray) -> np.ndarray:
    """A constant and the weights of the regression and of the tuned layers: least squares, on the scale of before.

    Least squares alone would draw appeal towards the middle by as much as one reader's marks are uncertain, and every
    weight that stands beside it would count for more.
    """
    parts = np.stack([np.ones_like(said), said, tuned], axis=1)
    weights = np.linalg.lstsq(parts, target, rcond=None)[0]
    stretch = before.std() / (parts @ weights).std()
    middle = before.mean() - stretch * (parts[:, 1:] @ weights[1:]).mean()
    return np.array([middle, *stretch * weights[1:]])


def fitted(
    table: Rows, setting: Setting, axes: np.ndarray, at: np.ndarray, mix: np.ndarray, spread: np.ndarray
) -> dict[str, np.ndarray]:
    """Arrays of the head fitted to the whole table, with its points where the file, in 8-bit steps, will have them."""
    plain = replace(blank(table, setting), axes=axes.astype(np.float32), points=at.astype(np.float32))
    points = AppealHead.of_arrays(plain.arrays()).points.astype(np.float64)
    middle = table.target.mean()
    dual = np.linalg.solve(kernel(points, points) + setting.ridge * np.eye(len(points)), table.target - middle)
    told = {"weights": dual, "bias": np.array([middle + COMMON * dual.sum()])}
    told |= {"mix": mix, "spreads": spread}
    return replace(plain, **{name: values.astype(np.float32) for name, values in told.items()}).arrays()


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--write", action="store_true", help=f"write {OUT.name}")
    options.add_argument("--nested", action="store_true", help="choose the setting without the sources judged")
    options.add_argument("--detailed", action="store_true", help="every source")
    asked = options.parse_args()
    table, setting = load(), Setting()
    axes, at = places(table, setting)
    said = held_out(at, table.target, table.source, setting.ridge)
    print("| sources left out one by one | n | Spearman | within a source, mean | sources | rms error |")
    print("| --- | --- | --- | --- | --- | --- |")
    for name, rows in parts_of(table).items():
        report(f"regression: {name}", said, table, rows)
    regression, tuned, target, before = held()
    mix = mixed(regression, tuned, target, before)
    whole = mix[0] + mix[1] * regression + mix[2] * tuned
    floor = plain(table)
    for name, rows in parts_of(table).items():
        report(f"plain ridge on CLIP: {name}", floor, table, rows)
    if asked.nested:
        other = nested(table)
        for name, rows in parts_of(table).items():
            report(f"setting chosen by others: {name}", other, table, rows)
    if asked.detailed:
        for number, name in enumerate(names()):
            if (table.source == number).sum() >= LEAST_SHOOT:
                report(name, said, table, table.source == number)
    if asked.write:
        spread = spreads(whole, target)
        np.savez(OUT, **fitted(table, setting, axes, at, mix, spread))
        print(f"\nmixed {mix.round(3)}, spreads {spread.round(2)}\nwrote {OUT.name}, {OUT.stat().st_size / 1e3:.0f} kB")


if __name__ == "__main__":
    main()
