"""Fit the head that tells what people do in a frame, judge it on shoots it was not fitted to, and write it.

    python benchmarks/features/fit_showing.py [--write]

Needs no photographs: ``showing_table.npz`` has CLIP's embeddings (8-bit codes, column by column) of frames of 189
shoots, and the letter by which a vision-language model that saw contact sheets named each frame; SUMS in
setsolver/features/showing.py says what the letters stand for. Every shoot is predicted by a head fitted without a tenth
of the shoots that it is in.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

import numpy as np
from sklearn.linear_model import LogisticRegression
from sklearn.metrics import roc_auc_score
from sklearn.model_selection import GroupKFold

from setsolver.features.appeal_head import unit_rows
from setsolver.features.showing import LETTERS, SHOWING_FILE, SUMS

TABLE = Path(__file__).with_name("showing_table.npz")
OUT = Path(__file__).parents[2] / "setsolver" / "models" / SHOWING_FILE
INVERSE_RIDGE = 3.0
FOLDS = 10


def model() -> LogisticRegression:
    return LogisticRegression(C=INVERSE_RIDGE, max_iter=500)


def left_out(at: np.ndarray, letter: np.ndarray, shoot: np.ndarray, letters: np.ndarray) -> np.ndarray:
    """Odds [n, letters] of every frame by a head that has not seen its shoot."""
    odds = np.zeros((len(at), len(letters)))
    for train, test in GroupKFold(FOLDS, shuffle=True, random_state=0).split(at, groups=shoot):
        fitted = model().fit(at[train], letter[train])
        odds[np.ix_(test, np.searchsorted(letters, fitted.classes_))] = fitted.predict_proba(at[test])
    return odds


def main() -> None:
    with np.load(TABLE) as table:
        look = table["clip"] * table["clip_step"].astype(np.float64) + table["clip_least"]
        letter, shoot = table["letter"], table["shoot"]
    mean, letters = look.mean(axis=0), np.unique(letter)
    at = unit_rows(look, mean)
    odds = left_out(at, letter, shoot, letters)
    right = (letters[odds.argmax(axis=1)] == letter).mean()
    print(f"{len(at)} frames of {len(np.unique(shoot))} shoots; letter right {right:.1%}")
    kind = {one: name for name, of in SUMS.items() for one in of}
    sums = np.array([odds[:, [k for k, one in enumerate(letters) if kind[one] == name]].sum(axis=1) for name in SUMS]).T
    read, said = np.array([kind[one] for one in letter]), np.array(list(SUMS))[sums.argmax(axis=1)]
    print(f"kind right {(said == read).mean():.1%}\n\n| read as | frames | area | told {' | told '.join(SUMS)} |")
    print("| --- " * (3 + len(SUMS)) + "|")
    for k, name in enumerate(SUMS):
        told = Counter(said[read == name])
        area = roc_auc_score(read == name, sums[:, k])
        print(f"| {name} | {(read == name).sum()} | {area:.3f} | {' | '.join(str(told[one]) for one in SUMS)} |")
    if "--write" in sys.argv:
        fitted = model().fit(at, letter)
        assert "".join(fitted.classes_) == LETTERS
        weights, bias = fitted.coef_.T.astype(np.float32), fitted.intercept_.astype(np.float32)
        np.savez(OUT, mean=mean.astype(np.float32), weights=weights, bias=bias)
        print(f"\nwrote {OUT.name}, {OUT.stat().st_size / 1e3:.0f} kB")


if __name__ == "__main__":
    main()
