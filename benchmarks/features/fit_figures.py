"""Fit the head that tells where people are, faces or not, from CLIP's places.

    python benchmarks/features/fit_figures.py PHOTOS [--keep FOLDER] [--write]

People were boxed by eye (people_boxes.csv); photographs in which both readers see nobody have none. Prints how well
places are told where a source is left out; places that a box covers in part are not counted. ``--keep`` keeps what CLIP
says; ``--write`` stores the head, fitted to all, in setsolver/models.
"""

from __future__ import annotations

import argparse
import csv
from collections import defaultdict
from pathlib import Path

import cv2
import numpy as np
from photographs import labels, read
from scipy.optimize import minimize
from sklearn.metrics import average_precision_score, roc_auc_score

from setsolver.domain.geometry import cell_cover
from setsolver.features.clip import clip_of
from setsolver.features.figures import FIGURES_FILE
from setsolver.features.models import ClipNetwork, load_clip

BOXES = Path(__file__).with_name("people_boxes.csv")
OUT = Path(__file__).parents[2] / "setsolver" / "models" / FIGURES_FILE
GRID, AXES, STIFFNESS, NOBODY = 14, 128, 2e-3, 0.35
"""Places a side; axes that places are turned onto; penalty; weight of a photograph without people."""


def boxed() -> dict[str, list[tuple[float, ...]]]:
    found = defaultdict(list)
    with BOXES.open(encoding="utf-8") as file:
        for row in csv.DictReader(line for line in file if not line.startswith("#")):
            found[row["photograph"]].append(tuple(float(row[key]) for key in ("x", "y", "right", "bottom")))
    return found


def covered(boxes: list[tuple[float, ...]]) -> np.ndarray:
    """Share of each place that a box covers, the largest of all boxes; [196]."""
    share = np.zeros((GRID, GRID))
    for left, top, right, bottom in boxes:
        share = np.maximum(share, np.outer(cell_cover(top, bottom, GRID), cell_cover(left, right, GRID)))
    return share.ravel()


def places(photos: Path, name: str, network: ClipNetwork, keep: Path | None) -> np.ndarray:
    file = keep / f"{name}_+0.0.npz" if keep else None
    if file and file.exists():
        with np.load(file) as arrays:
            return arrays["places"].reshape(GRID * GRID, -1).astype(np.float32)
    found = clip_of(read(photos, name), network).places.reshape(GRID * GRID, -1).astype(np.float32)
    if file:
        np.savez(file, places=found.reshape(GRID, GRID, -1).astype(np.float16))
    return found


def fit(units: np.ndarray, target: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Logistic regression on soft targets with a quadratic penalty; [axes + 1]."""
    rows = np.hstack([units.reshape(-1, AXES), np.ones((target.size, 1), np.float32)])
    aim, share = target.ravel(), np.repeat(weight, GRID * GRID) / (weight.sum() * GRID * GRID)

    def loss(given: np.ndarray) -> tuple[float, np.ndarray]:
        score = rows @ given
        slope = rows.T @ (share * (1 / (1 + np.exp(-score)) - aim))
        slope[:-1] += 2 * STIFFNESS * given[:-1]
        cost = share @ (np.logaddexp(0, score) - aim * score) + STIFFNESS * float(given[:-1] @ given[:-1])
        return float(cost), slope

    return minimize(loss, np.zeros(AXES + 1), jac=True, method="L-BFGS-B", options={"maxiter": 80}).x


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("photos", type=Path)
    options.add_argument("--keep", type=Path)
    options.add_argument("--write", action="store_true")
    given = options.parse_args()
    cv2.setNumThreads(1)
    rows, boxes, network = labels(given.photos), boxed(), load_clip()
    names = sorted(boxes) + [name for name, row in rows.items() if row["people_a"] == row["people_b"] == "0"]
    seen = np.stack([places(given.photos, name, network, given.keep) for name in names])
    mean = seen.mean(axis=(0, 1))
    value, vector = np.linalg.eigh(np.cov((seen[:, ::5] - mean).reshape(-1, seen.shape[-1]).T))
    axes = (vector[:, ::-1] / np.sqrt(value[::-1]))[:, :AXES].astype(np.float32)
    units, target = (seen - mean) @ axes, np.stack([covered(boxes.get(name, [])) for name in names])
    weight = np.array([1.0 if name in boxes else NOBODY for name in names])
    source = np.array([rows[name]["source"] for name in names])
    for left in sorted({rows[name]["source"] for name in boxes}):
        out = source == left
        head = fit(units[~out], target[~out], weight[~out])
        score, aim = (units[out] @ head[:-1] + head[-1]).ravel(), target[out].ravel()
        clear = (aim > 0.7) | (aim < 0.05)
        auc, precision = (one(aim[clear] > 0.5, score[clear]) for one in (roc_auc_score, average_precision_score))
        print(f"| {left} | {out.sum()} | {auc:.3f} | {precision:.3f} | {(aim > 0.7).mean():.3f} |")
    if given.write:
        head = fit(units, target, weight)
        plain = axes @ head[:-1]
        np.savez(OUT, weights=np.append(plain, head[-1] - mean @ plain).astype(np.float32))


if __name__ == "__main__":
    main()
