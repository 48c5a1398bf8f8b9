"""How true is what is said of a print's borders: crops as the tool cuts them, judged print by print.

    python benchmarks/features/prints.py

Needs no photographs: ``prints.csv`` beside this file has the marks of square and 3 : 2 prints and what readers,
vision-language models, say is cut in them, by the crop or by the frame itself. Prints the readings by what
``rules.borders`` and ``rules.composition`` would say, and how well their points tell cut prints from whole ones.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
from sklearn.metrics import roc_auc_score

from setsolver.rules.borders import CLEAR, MUCH, THROUGH

READ = Path(__file__).with_name("prints.csv")
SLIGHTLY, SPOILT = 1, 2


def main() -> None:
    with READ.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(row for row in file if not row.startswith("#")))
    grade, square = np.array([int(row["grade"]) for row in rows]), np.array([row["aspect"] == "1.0" for row in rows])
    crossed, ended, free, composition = (
        np.array([float(row[name]) for row in rows]) for name in ("crossed", "ended", "free", "composition")
    )
    own = np.array([row["own"] == "1" for row in rows])
    said = {
        "nothing that should be whole": ~own & (crossed >= CLEAR),
        "a little tight": ~own & (crossed < CLEAR) & (crossed > -MUCH * THROUGH),
        "through what should be whole": ~own & (crossed <= -MUCH * THROUGH),
        "the frame's own": own,
        "composition: nothing cut at the edges": (free == 1) & (np.minimum(crossed, ended) >= CLEAR),
    }
    print(f"{len(rows)} prints of {len({row['shoot'] for row in rows})} shoots")
    print("| said | squares | slightly cut | spoilt | 3 : 2 | slightly cut | spoilt |\n" + "| --- " * 7 + "|")
    for name, here in said.items():
        cells = []
        for kind in (square, ~square):
            of = grade[here & kind]
            cells += [str(len(of)), *(f"{(of == one).mean():.0%}" if len(of) else "" for one in (SLIGHTLY, SPOILT))]
        print(f"| {name} | {' | '.join(cells)} |")
    print("\n| points of | squares, cut | squares, spoilt | 3 : 2, cut | 3 : 2, spoilt |\n" + "| --- " * 5 + "|")
    for name, points in (("borders", crossed), ("composition", composition)):
        areas = [roc_auc_score(grade[k] < least, points[k]) for k in (square, ~square) for least in (SLIGHTLY, SPOILT)]
        print(f"| {name} | {' | '.join(f'{one:.3f}' for one in areas)} |")


if __name__ == "__main__":
    main()
