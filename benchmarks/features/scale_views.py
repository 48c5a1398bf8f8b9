"""Scale as a scan tells it, from the views that it looks at: heads fitted without the photograph's source.

    python benchmarks/features/scale_views.py PHOTOS

fit_heads.py judges on the mean of four quarters and the centre, which the table holds. A scan looks at the whole frame
and at one view about the subject, and at the quarters only where it is unsure; this says what that costs, and how
well each kind of picture of kinds.csv is told.
"""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import kernel
import numpy as np
from fit_heads import subset
from photographs import folder, read
from scale_report import HEADINGS, report
from table import Table, load, right

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


def measured(table: Table, photos: Path, models: Models) -> np.ndarray:
    """Odds of the table's photographs of one source."""
    names = [f"{picture:04d}" for picture in table.picture]
    return np.array([measuring.measure(read(photos, name), models=models).odds for name in names])


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
    photos, table, models = folder(__doc__), load(), Models.load()
    table = subset(table, table.usable)
    rows = subset(table, table.picture >= 0)
    once, more = np.zeros((len(rows.first), 3)), np.zeros((len(rows.first), 3))
    usual = scale.UNSURE
    for one in np.unique(rows.source):
        here, fitted = rows.source == one, replace(models, **heads_without(table, one))
        for odds, least in ((once, 0.0), (more, usual)):
            scale.UNSURE = least
            odds[here] = measured(subset(rows, here), photos, fitted)
    print(f"{'source':<44} {'n':>5}" + "".join(f"{head:>11}" for head in HEADINGS))
    everyone = np.ones(len(rows.first), bool)
    report("frame and one inner view", once, rows, everyone)
    report("as scanned: quarters where unsure", more, rows, everyone)
    print(f"looked at in quarters: {(once.max(axis=1) < usual).mean():.1%}")
    by_kind(more, rows)


if __name__ == "__main__":
    main()
