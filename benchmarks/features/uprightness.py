"""Fit the head for uprightness to turned copies of photographs, and judge it on sources it was not fitted on.

    python benchmarks/features/uprightness.py CUES.npz [FOLDER...] [--write]

A FOLDER is one source, its *.jpg upright; what CLIP says of each and of its three turned copies is gathered into
CUES.npz first (a third of a second a photograph on one core). Without folders CUES.npz is read. Each source is
predicted by a head fitted without it and without the others of its fold (ten folds of whole sources).
``uprightness.csv`` beside this file has a reader's word on which of 240 photographs, drawn at random and seen turned at
random, a viewer can tell.
"""

from __future__ import annotations

import argparse
import csv
from pathlib import Path
from typing import NamedTuple

import cv2
import numpy as np

from setsolver.catalog.reader import read
from setsolver.features.clip import clip_of
from setsolver.features.models import load_clip
from setsolver.features.upright import UPRIGHT_FILE, halves

FOLDS = 10
RIDGE = {"first": 1.0, "again": 1.0}
"""Penalty on the weights of each regression, in means of the cues' squares."""
PLACES = 768
"""Of the cues, those that are means over all places."""
LOOKED_AGAIN = 0.08
"""Share of upright photographs that are looked at in their other turns too."""
FALSE = 0.009
"""Share of upright photographs that may be said to lie or stand on their heads."""
READ = Path(__file__).with_name("uprightness.csv")
OUT = Path(__file__).parents[2] / "setsolver" / "models" / UPRIGHT_FILE


def gather(folders: list[Path], out: Path) -> None:
    network = load_clip()
    rows, names, sources = [], [], []
    for folder in folders:
        for file in sorted(folder.glob("*.jpg")):
            rgb = read(file).rgb
            copies = [np.ascontiguousarray(np.rot90(rgb, -quarter)) for quarter in range(4)]
            rows.append([halves(clip_of(copy, network).places) for copy in copies])
            names.append(file.stem)
            sources.append(folder.name)
    np.savez(out, cues=np.array(rows, np.float16), name=names, source=sources)


def standardised(cues: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Cues [n, 4, d] about their mean over deviation and the root of their number, and a constant; [n, 4, d + 1]."""
    flat = cues.reshape(-1, cues.shape[-1]).astype(np.float32)
    mean, deviation = flat.mean(axis=0), (flat.std(axis=0) + 1e-3) * np.sqrt(flat.shape[1])
    unit = (flat - mean) / deviation
    return np.hstack([unit, np.full((len(unit), 1), 0.3, np.float32)]).reshape(*cues.shape[:2], -1), mean, deviation


def ridge(gram: np.ndarray, target: np.ndarray, penalty: float) -> np.ndarray:
    return np.linalg.solve(gram + penalty * np.trace(gram) / len(gram) * np.eye(len(gram), dtype=gram.dtype), target)


def left_out(unit: np.ndarray, fold: np.ndarray, penalty: float) -> tuple[np.ndarray, np.ndarray]:
    """What heads fitted without its fold say of each copy [n, 4, 4]; and the weights of the head fitted on all."""
    goal = np.eye(4, dtype=np.float32) - 0.25
    parts = []
    for one in range(FOLDS):
        rows = unit[fold == one].reshape(-1, unit.shape[-1])
        parts.append((rows.T @ rows, rows.T @ np.tile(goal, (len(rows) // 4, 1))))
    gram, target = (sum(part[k] for part in parts) for k in range(2))
    spoken = np.zeros((*unit.shape[:2], 4), np.float32)
    for one in range(FOLDS):
        spoken[fold == one] = unit[fold == one] @ ridge(gram - parts[one][0], target - parts[one][1], penalty)
    return spoken, ridge(gram, target, penalty)


class Fitted(NamedTuple):
    """spoken : what heads fitted without its fold say of each copy [n, 4, 4]. stored : the head fitted on all."""

    spoken: np.ndarray
    stored: dict[str, np.ndarray]


def fitted(name: str, cues: np.ndarray, fold: np.ndarray) -> Fitted:
    unit, mean, deviation = standardised(cues)
    spoken, weights = left_out(unit, fold, RIDGE[name])
    parts = {"mean": mean, "deviation": deviation, "weights": weights[:-1], "bias": 0.3 * weights[-1] + 0.25}
    return Fitted(spoken, {f"{name}.{part}": value.astype(np.float32) for part, value in parts.items()})


def strengths(spoken: np.ndarray) -> np.ndarray:
    """How strongly four looks speak for each turn, for each copy as the frame [n, copy, turn]."""
    copies = np.arange(4)
    of_photograph = np.stack([spoken[:, copies, (turn + copies) % 4].mean(axis=1) for turn in range(4)], axis=1)
    return np.stack([np.roll(of_photograph, copy, axis=1) for copy in range(4)], axis=1)


def margins(strength: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The strongest turn of each copy, and its margin over the second; [n, 4] each."""
    order = np.sort(strength, axis=-1)
    return strength.argmax(axis=-1), order[..., -1] - order[..., -2]


def line(margin: np.ndarray, good: np.ndarray) -> np.ndarray:
    """Slope and offset of the log odds of being right."""
    from sklearn.linear_model import LogisticRegression  # noqa: PLC0415 - only here

    found = LogisticRegression(C=1e3).fit(margin.reshape(-1, 1), good.ravel())
    return np.array([found.coef_[0, 0], found.intercept_[0]])


def read_by_eye() -> dict[str, bool]:
    with READ.open(encoding="utf-8") as file:
        rows = csv.DictReader(row for row in file if not row.startswith("#"))
        return {row["photograph"]: row["tells"] == "1" for row in rows}


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("cues", type=Path)
    options.add_argument("folders", type=Path, nargs="*")
    options.add_argument("--write", action="store_true")
    asked = options.parse_args()
    cv2.setNumThreads(1)
    if asked.folders:
        gather(asked.folders, asked.cues)
    data = np.load(asked.cues)
    source, name = data["source"], data["name"]
    _, number = np.unique(source, return_inverse=True)
    fold = np.random.default_rng(0).permutation(number.max() + 1)[number] % FOLDS
    first = fitted("first", data["cues"], fold)
    again = fitted("again", data["cues"][..., :PLACES], fold)
    one = first.spoken[..., 0] - first.spoken[..., 1:].max(axis=-1)
    suspect = float(np.quantile(one[:, 0], LOOKED_AGAIN))
    best, margin = margins(strengths(again.spoken))
    copies = np.arange(4)
    said = np.where((one < suspect) & (best > 0), margin, -1.0)
    sure = float(np.sort(said[:, 0])[-1 - int(FALSE * len(said))]) + 1e-6
    found = (said >= sure) & (best == copies)
    tells = read_by_eye()
    judged = np.array([tells.get(n, False) for n in name])
    right = (first.spoken.argmax(-1) == copies).mean(axis=0).round(3)
    print(f"{len(name)} photographs, {number.max() + 1} sources; one look right: {right}")
    print(f"four looks right {(best == copies)[:, 0].mean():.3f}; suspect {suspect:.3f}, sure {sure:.3f}")
    print("| photographs | n | on their side or head: found | turned wrongly | upright: false | looked at again |")
    print("| --- | --- | --- | --- | --- | --- |")
    wrong = (said >= sure) & (best != copies)
    rows = [("all", np.ones(len(name), bool)), ("read, a viewer can tell", judged)]
    rows += [("read, cannot", np.array([not tells.get(n, True) for n in name]))]
    rows += [(str(s), source == s) for s in np.unique(source) if (source == s).sum() >= 12]
    for label, rows_of in rows:
        f, w = found[rows_of, 1:].mean(), wrong[rows_of, 1:].mean()
        false, looked = (said[rows_of, 0] >= sure).mean(), (one[rows_of, 0] < suspect).mean()
        print(f"| {label} | {rows_of.sum()} | {f:.1%} | {w:.1%} | {false:.1%} | {looked:.1%} |")
    if asked.write:
        numbers = {"suspect": suspect, "sure": sure}
        numbers |= {"one": line(one, np.tile(copies == 0, (len(name), 1))), "four": line(margin[:, 0], best[:, 0] == 0)}
        np.savez_compressed(OUT, **first.stored, **again.stored, **numbers)


if __name__ == "__main__":
    main()
