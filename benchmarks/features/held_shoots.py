"""Appeal, doing and picked on 49 shoots left out: agreement with a reader, and with sets picked by eye.

    python benchmarks/features/held_shoots.py

``held_shoots.csv`` has 2,094 photographs of 49 shoots of 49 sources: the appeal that one reader gave, whether it took
the frame for a wall of three and for a story of five, what appeal was told to be before (52bbc71), what the regression
and the tuned layers say, what appeal is told to be now, what the term ``doing`` pays before its weight, and how early
an editor would pick the frame (``picked``, in logits). The regression and the layers were not fitted to these shoots;
the mixture of both was. The reader is a vision-language model that saw contact sheets and none of these values, the
same that read what the layers were tuned to further. Within a shoot, mean over shoots; intervals are of shoots drawn
again.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from held_appeal import area
from make_appeal_table import rows
from scipy.stats import spearmanr

from setsolver.rules.picked import SPAN

TABLE = Path(__file__).with_name("held_shoots.csv")
TOLD = ("before", "regression", "tuned", "now")
STEP = 25.0
"""Points of one step of appeal, and of a whole unit of what the terms pay."""
DOING = {"three": 15.0, "five": 20.0}
PICKED = {"three": 20.0, "five": 40.0}


def interval(differ: np.ndarray) -> str:
    draws = np.random.default_rng(0).choice(differ, (4000, len(differ))).mean(axis=1)
    low, high = np.percentile(draws, [2.5, 97.5])
    return f"{differ.mean():+.3f} ({low:+.3f} to {high:+.3f})"


def main() -> None:
    read = rows(TABLE)
    said = {name: np.array([float(row[name]) for row in read]) for name in (*TOLD, "reader", "worth", "picked")}
    early = np.clip(0.5 + 0.5 * said["picked"] / SPAN, 0, 1)
    shoots = np.array([row["shoot"] for row in read])
    of = [shoots == one for one in np.unique(shoots)]
    told = {name: np.array([spearmanr(said[name][b], said["reader"][b])[0] for b in of]) for name in TOLD}
    print(f"{len(read)} photographs of {len(of)} shoots\n\n| with the reader | over all | within | against before |")
    print("| --- | --- | --- | --- |")
    for name, marks in told.items():
        overall = spearmanr(said[name], said["reader"])[0]
        print(f"| {name} | {overall:.3f} | {marks.mean():.3f} | {interval(marks - told['before'])} |")
    print("\n| picked frames above others | | appeal alone | and doing | and picked | against appeal and doing |")
    print("| --- | --- | --- | --- | --- | --- |")
    for kind, weight in DOING.items():
        picked = np.array([row[kind] == "1" for row in read])
        some = [b for b in of if picked[b].any()]
        for name in (*TOLD, "reader"):
            both = said[name] + weight / STEP * said["worth"]
            every = both + PICKED[kind] / STEP * early
            alone, paid, all_ = (np.array([area(one[b], picked[b]) for b in some]) for one in (said[name], both, every))
            print(f"| {kind} | {name} | {alone.mean():.3f} | {paid.mean():.3f} | {all_.mean():.3f} ", end="")
            print(f"| {interval(all_ - paid)} |")


if __name__ == "__main__":
    main()
