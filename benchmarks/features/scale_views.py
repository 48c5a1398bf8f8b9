"""Scale as a scan tells it, from the views that it looks at: heads fitted without the photograph's source.

    python benchmarks/features/scale_views.py PHOTOS [--packages FOLDER]

fit_heads.py judges on the mean of four quarters and the centre, which the table holds. A scan looks at the whole frame
and at one view about the subject, and at the quarters only where it is unsure; this says what that costs, and how
well each kind of picture of kinds.csv is told.
"""

from __future__ import annotations

import argparse
import csv
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import cv2
import kernel
import numpy as np
from fit_heads import subset
from package_photographs import found, preview, read_csv
from photographs import read
from scale_report import HEADINGS, report
from table import FIRST_PACKAGE, Table, load, right

from setsolver.features import measure as measuring
from setsolver.features import scale
from setsolver.features.kernel_head import KernelHead
from setsolver.features.models import Models

__all__: list[str] = []

KINDS = Path(__file__).with_name("kinds.csv")
"""What is in some of the photographs, told by eye from contact sheets: those that are hard for one reason."""


def heads_without(table: Table, one: int) -> dict[str, KernelHead]:
    rest = subset(table, table.source != one)
    inputs = {"scale": np.hstack([rest.whole, rest.inner]), "scale_alone": rest.whole}
    result = {}
    for name, values in inputs.items():
        where = kernel.places(values)
        said = kernel.held_out(where.at, rest.target, rest.source)
        result[name] = kernel.whole_fit(where, rest.target, rest.source, kernel.power(said, rest.first[:, 0]))
    return result


def pictures(table: Table, photos: Path, packages: Path | None) -> dict[int, Callable[[], np.ndarray]]:
    """What reads the photograph of each row of the table that is at hand."""
    given = {int(row): partial(read, photos, f"{table.picture[row]:04d}") for row in np.flatnonzero(table.picture >= 0)}
    if packages is None:
        return given
    readings = read_csv("package_readings.csv")
    data = found(packages, {reading["sha256"] for reading in readings})
    rows = zip(range(len(table.picture) - len(readings), len(table.picture)), readings, strict=True)
    return given | {row: partial(preview, data[reading["sha256"]]) for row, reading in rows}


def measured(rows: np.ndarray, at_hand: dict[int, Callable[[], np.ndarray]], models: Models) -> np.ndarray:
    return np.array([measuring.measure(at_hand[int(row)](), models=models).odds for row in rows])


def by_kind(odds: np.ndarray, rows: Table) -> None:
    """Print how many of each kind of picture are right, are a reader's second choice, and made a reader hesitate."""
    with KINDS.open(encoding="utf-8") as file:
        kind = {int(row["picture"]): row["kind"] for row in csv.DictReader(file)}
    kinds = np.array([kind.get(int(picture), "the rest") for picture in rows.picture])
    (strict, second), doubted = right(odds, rows), (rows.second >= 0).any(axis=1)
    print(f"\n{'kind':<32} {'n':>5}{'strict':>11}{'+ second':>11}{'doubted':>11}")
    for name in sorted(set(kinds), key=lambda one: strict[kinds == one].mean()):
        on = kinds == name
        shares = "".join(f"{share[on].mean():>11.0%}" for share in (strict, second, doubted))
        print(f"{name:<32} {on.sum():>5}{shares}")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("photos", type=Path)
    options.add_argument(
        "--packages", type=Path, help="folder that holds the packages of package_sources.csv, unpacked"
    )
    asked = options.parse_args()
    cv2.setNumThreads(1)
    table, models = load(), Models.load()
    at_hand = pictures(table, asked.photos, asked.packages)
    numbers = np.array([row for row in sorted(at_hand) if table.usable[row]])
    rows, fitted_to = subset(table, numbers), subset(table, table.usable)
    once, more = np.zeros((len(numbers), 3)), np.zeros((len(numbers), 3))
    usual = scale.UNSURE
    for one in np.unique(rows.source):
        here, fitted = rows.source == one, replace(models, **heads_without(fitted_to, one))
        for odds, least in ((once, 0.0), (more, usual)):
            scale.UNSURE = least
            odds[here] = measured(numbers[here], at_hand, fitted)
    print(f"{'source':<44} {'n':>5}" + "".join(f"{head:>11}" for head in HEADINGS))
    packages = rows.source >= FIRST_PACKAGE
    for name, only in (("given sources", ~packages), ("packages", packages))[: 1 + packages.any()]:
        report(f"{name}: frame and one inner view", once, rows, only)
        report(f"{name}: quarters where unsure", more, rows, only)
    print(f"looked at in quarters: {(once.max(axis=1) < usual).mean():.1%}")
    by_kind(more[~packages], subset(rows, ~packages))


if __name__ == "__main__":
    main()
