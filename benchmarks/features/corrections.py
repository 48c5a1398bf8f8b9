"""What a photographer's corrections bring: scale on the rest of a source once some of its frames are corrected.

    python benchmarks/features/corrections.py

Odds come from heads fitted without the source, corrections are first readings, chosen at random or where the odds are
least sure, and the frames that were not corrected are judged. Needs no photographs.
"""

from __future__ import annotations

import kernel
import numpy as np
from fit_heads import calibrated, subset
from table import FIRST_PACKAGE, Table, load, right

from setsolver.features.corrections import refit

__all__: list[str] = []

LEAST = 40
"""Photographs of a source from which it is judged."""
CORRECTED = (0, 5, 10, 20)
DRAWS = 10


def chosen(odds: np.ndarray, count: int, *, unsure: bool, draw: int) -> np.ndarray:
    if unsure:
        return np.argsort(odds.max(axis=1))[:count]
    return np.random.default_rng(draw).permutation(len(odds))[:count]


def after(odds: np.ndarray, rows: Table, corrected: np.ndarray) -> np.ndarray:
    """Whether each frame that was not corrected is right, before and after; bool[2, n]."""
    said = np.full(len(odds), -1)
    said[corrected] = rows.first[corrected, 0]
    rest = np.setdiff1d(np.arange(len(odds)), corrected)
    moved = refit(odds, rows.whole, said)
    return np.array([right(one, rows)[0][rest] for one in (odds, moved)])


def main() -> None:
    table = load()
    table = subset(table, table.usable & (table.source < FIRST_PACKAGE))
    where = kernel.places(np.hstack([table.whole, table.inner]))
    odds, _ = calibrated(kernel.held_out(where.at, table.target, table.source), table)
    large = [one for one in np.unique(table.source) if (table.source == one).sum() >= LEAST]
    print(f"{len(large)} sources of at least {LEAST} photographs\n{'corrected':<28}{'before':>9}{'after':>9}")
    for unsure in (False, True):
        for count in CORRECTED[1:]:
            marks = []
            for one in large:
                rows = subset(table, table.source == one)
                here = odds[table.source == one]
                draws = range(1 if unsure else DRAWS)
                marks += [after(here, rows, chosen(here, count, unsure=unsure, draw=k)).mean(axis=1) for k in draws]
            before, later = np.mean(marks, axis=0)
            name = f"{count}, {'least sure' if unsure else 'at random'}"
            print(f"{name:<28}{before:>9.1%}{later:>9.1%}")


if __name__ == "__main__":
    main()
