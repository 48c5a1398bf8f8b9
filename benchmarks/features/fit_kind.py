"""Fit what tells photographs, documents and screens apart, judge it on sources left out, and write it.

    python benchmarks/features/fit_kind.py [--write]

Photographs are those of appeal_table.npz; documents and screens its few and those of kind_pictures.csv: pictures of
public repositories and of documentation packages, told apart by eye (of a vision-language model, from contact
sheets), pages, slides and graphics made up by made_up_pages.py and made_up_graphics.py (seed 0), and the demo shoot,
which is rendered and stands for photographs; what is made up is never judged, and fitted to wherever the source of
the photograph that it is made from, if any, is not left out. kind_table.npz holds their CLIP embeddings, no picture.
"""

from __future__ import annotations

import argparse
import csv
from pathlib import Path

import numpy as np
from appeal_table import load, names
from sklearn.linear_model import LogisticRegression
from sklearn.model_selection import GroupKFold

from setsolver.domain.measures import KINDS, Kind
from setsolver.features.appeal_head import unit_rows
from setsolver.features.models import KIND_FILE

HERE = Path(__file__).parent
OUT = HERE.parents[1] / "setsolver" / "models" / KIND_FILE
READ = {"photo": 0, "document": 1, "graphic": 2}
MADE = ("made_up_pages.py", "made_up_graphics.py", "demo_catalog")
STIFF = 30.0
"""C of the logistic regression on rows of length 1."""
MADE_WEIGHT = 0.5
"""What a made-up picture weighs beside a real one."""


def rows() -> tuple[np.ndarray, ...]:
    """Embeddings, kinds, sources (the photograph's, where one lies beneath), names, which are made up, and weights."""
    table = load()
    with (HERE / "kind_pictures.csv").open(encoding="utf-8") as file:
        told = list(csv.DictReader(file))
    data = np.load(HERE / "kind_table.npz")
    assert [row["id"] for row in told] == list(data["id"])
    clip = np.concatenate([table.clip, data["clip"].astype(np.float64)])
    kind = [READ[str(kind)] for kind in table.kind] + [KINDS.index(row["kind"]) for row in told]
    source = [names()[number] for number in table.source] + [row["source"] for row in told]
    name = [str(one) for one in table.name] + [row["id"] for row in told]
    beneath = dict(zip(name, source, strict=True))
    source = [
        beneath[row["file"]] if row and row["source"] in MADE and row["file"] else one
        for one, row in zip(source, [None] * len(table.kind) + told, strict=True)
    ]
    made = [False] * len(table.kind) + [row["source"] in MADE for row in told]
    weight = [1.0] * len(table.kind) + [MADE_WEIGHT if row["source"] in MADE else 1.0 for row in told]
    return clip, np.array(kind), np.array(source), np.array(name), np.array(made), np.array(weight)


def fit(places: np.ndarray, kind: np.ndarray, weight: np.ndarray) -> LogisticRegression:
    share = np.bincount(kind, weight, minlength=3) / weight.sum()
    return LogisticRegression(C=STIFF, max_iter=2000).fit(places, kind, sample_weight=weight / share[kind] ** 0.5)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--write", action="store_true", help=f"write {OUT.name}")
    asked = options.parse_args()
    clip, kind, source, name, made, weight = rows()
    middle = clip.mean(axis=0)
    places, odds = unit_rows(clip, middle), np.zeros((len(clip), 3))
    real = np.flatnonzero(~made)
    for train, test in GroupKFold(12, shuffle=True, random_state=0).split(real, groups=source[real]):
        known = np.concatenate([real[train], np.flatnonzero(made & ~np.isin(source, source[real[test]]))])
        odds[real[test]] = fit(places[known], kind[known], weight[known]).predict_proba(places[real[test]])
    guess = np.array([KINDS.index(Kind(*row).best) for row in odds.tolist()])
    print("| read as | n | told photograph | document | screen |\n| --- | --- | --- | --- | --- |")
    for k, one in enumerate(KINDS):
        told = " | ".join(str((~made & (kind == k) & (guess == j)).sum()) for j in range(3))
        print(f"| {one} | {(~made & (kind == k)).sum()} | {told} |")
    wrong = np.flatnonzero((guess != kind) & ~made)
    print(
        "wrong:", ", ".join(f"{name[k]} ({KINDS[kind[k]]} told {KINDS[guess[k]]}, {odds[k].max():.2f})" for k in wrong)
    )
    if asked.write:
        model = fit(places, kind, weight)
        arrays = {"mean": middle, "weights": model.coef_.T, "bias": model.intercept_}
        np.savez(OUT, **{name: array.astype(np.float32) for name, array in arrays.items()})
        print(f"\nwrote {OUT.name}, {OUT.stat().st_size / 1e3:.0f} kB")


if __name__ == "__main__":
    main()
