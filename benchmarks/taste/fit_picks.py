"""Tell sets picked by eye from the same sets with one frame swapped, shoots left out whole: what counts, and how much.

    python benchmarks/taste/fit_picks.py

Needs no photographs: ``picks.npz`` has, for each shoot, the frames picked for three square prints and for a story of
five, how alike each two frames are to EfficientNet-Lite0 and to CLIP (cosines about means of many shoots), their
measured appeal, and what the best crop keeps and is marked. A choice is a picked set among all sets with one other
frame in its place (conditional logit: D. McFadden, "Conditional logit analysis of qualitative choice behavior", 1974).
Picked by vision-language models, not by people.
"""

from __future__ import annotations

from itertools import combinations
from pathlib import Path
from typing import NamedTuple

import numpy as np
from scipy.optimize import minimize

PICKS = Path(__file__).with_name("picks.npz")
RIDGE, FOLDS = 0.02, 8
STRANDS, NEAR, SLACK, ROUNDS = 8, 0.4, 0.1, 20
"""As in ``setsolver.rules.content``, from cosines alone."""
SHARES = {"lite": 1.0, "as read (0.59)": 0.59, "0.4": 0.4, "clip": 0.0}
REPEAT = 0.5
TRIED = (
    (),
    ("kept",),
    ("kept", "content"),
    ("kept", "stranger pairs"),
    *(("kept", "content", f"repeats, Lite0's share {name}") for name in SHARES),
    ("kept", "content", "repeats, Lite0's share 0.4", "weakest"),
    ("kept", "content", "repeats, Lite0's share 0.4", "composition"),
)


class Choice(NamedTuple):
    """A picked set (first) among others: features [K] by name, and its shoot."""

    shoot: str
    features: dict[str, np.ndarray]


def square(packed: np.ndarray, count: int) -> np.ndarray:
    full = np.eye(count)
    full[np.triu_indices(count, 1)] = packed
    return np.maximum(full, full.T)


def strands(alike: np.ndarray) -> np.ndarray:
    """How far each frame belongs to each strand, [n, k]: ``strands_of`` with sums of cosines in place of vectors."""
    taken = [int(alike.mean(axis=1).argmax())]
    while len(taken) < min(STRANDS, len(alike)):
        taken.append(int(alike[taken].max(axis=0).argmin()))
    near = alike[:, taken]
    for _ in range(ROUNDS):
        belongs = np.eye(near.shape[1])[near.argmax(axis=1)]
        sums = alike @ belongs
        length = np.sqrt(np.maximum((belongs * sums).sum(axis=0), 1e-9))
        near = np.where(belongs.any(axis=0), sums / length, near)
    return np.clip(near, 0, NEAR)


def swapped(picked: np.ndarray, count: int) -> np.ndarray:
    rows = [picked]
    for place in range(len(picked)):
        for other in np.setdiff1d(np.arange(count), picked):
            one = picked.copy()
            one[place] = other
            rows.append(one)
    return np.array(rows)


def choices() -> list[Choice]:
    found = []
    with np.load(PICKS) as data:
        for shoot in data["shoots"].tolist():
            appeal = (data[f"{shoot}_appeal"].astype(float) - 1) / 4
            clip, lite = (square(data[f"{shoot}_{name}"], len(appeal)) for name in ("clip", "lite"))
            belongs = strands(clip)
            for kind in ("three", "five"):
                sets = swapped(data[f"{shoot}_{kind}"].astype(int), len(appeal))
                pairs = np.array(list(combinations(range(sets.shape[1]), 2)))
                one, two = sets[:, pairs[:, 0]], sets[:, pairs[:, 1]]
                place = belongs[sets]
                apart = np.abs(place - np.median(place, axis=1, keepdims=True))
                features = {
                    "appeal": appeal[sets].mean(axis=1),
                    "weakest": appeal[sets].min(axis=1),
                    "content": np.maximum(apart - SLACK, 0).sum(axis=2).mean(axis=1),
                    "stranger pairs": np.maximum(0.3 - clip[one, two], 0).mean(axis=1),
                }
                for name in ("kept", "composition"):
                    features[name] = data[f"{shoot}_{kind}_{name}"].astype(float)[sets].mean(axis=1)
                for name, share in SHARES.items():
                    alike = share * lite[one, two] + (1 - share) * clip[one, two]
                    features[f"repeats, Lite0's share {name}"] = np.maximum(alike - REPEAT, 0).max(axis=1)
                found.append(Choice(shoot, features))
    return found


def table(many: list[Choice], names: list[str]) -> list[np.ndarray]:
    return [np.stack([one.features[name] for name in names], axis=1) for one in many]


def fit(rows: list[np.ndarray]) -> np.ndarray:
    scale = 1 / (np.concatenate([one - one[0] for one in rows]).std(axis=0) + 1e-6)

    def loss(w: np.ndarray) -> tuple[float, np.ndarray]:
        total, slope = 0.0, np.zeros(len(w))
        for one in rows:
            worth = one @ (w * scale)
            odds = np.exp(worth - worth.max())
            total += np.log(odds.sum()) - (worth[0] - worth.max())
            slope += (odds / odds.sum() @ one - one[0]) * scale
        return total / len(rows) + RIDGE * float(w @ w), slope / len(rows) + 2 * RIDGE * w

    return minimize(loss, np.zeros(rows[0].shape[1]), jac=True, method="L-BFGS-B").x * scale


def left_out(many: list[Choice], names: list[str]) -> tuple[float, float]:
    """Mean log likelihood of a pick, and the share of the swapped sets that are told better, shoots left out."""
    rows, fold = table(many, names), np.unique([one.shoot for one in many], return_inverse=True)[1] % FOLDS
    likely, beaten = [], []
    for out in range(FOLDS):
        weights = fit([one for one, at in zip(rows, fold, strict=True) if at != out])
        for one in (one for one, at in zip(rows, fold, strict=True) if at == out):
            worth = one @ weights
            likely.append(worth[0] - worth.max() - np.log(np.exp(worth - worth.max()).sum()))
            beaten.append((worth > worth[0]).mean())
    return float(np.mean(likely)), float(np.mean(beaten))


def main() -> None:
    many = choices()
    even = np.mean([-np.log(len(one.features["appeal"])) for one in many])
    print(f"{len(many)} picked sets of {len({one.shoot for one in many})} shoots; by chance {even:.2f}")
    print("| appeal and | log likelihood of a pick | others told better |\n| --- | --- | --- |")
    for more in TRIED:
        likely, beaten = left_out(many, ["appeal", *more])
        print(f"| {', '.join(more) or 'nothing else'} | {likely:.3f} | {beaten:.1%} |")
    names = ["appeal", "kept", "content", "repeats, Lite0's share 0.4"]
    weights = fit(table(many, names))
    told = ", ".join(f"{name} {100 * weight / weights[0]:.0f}" for name, weight in zip(names, weights, strict=True))
    print(f"weights for an appeal of 100: {told}")


if __name__ == "__main__":
    main()
