"""Fit the chance that two frames belong to one scene, and judge the scenes that follow, shoots left out whole.

    python benchmarks/features/scenes.py [--sources]

Needs no photographs: ``scenes.csv`` beside this file has 874 photographs of 41 shoots sorted into scenes by eye, and
``appeal_table.npz`` what the networks say of them. Each shoot is grouped as a catalog of its own by chances that were
fitted to the others. Pairs in which the reader hesitated count little in fits and not at all in scores. Prints the
weights fitted to all, which ``setsolver/catalog/scenes.py`` holds, and with ``--sources`` every shoot.
"""

from __future__ import annotations

import argparse
import csv
from collections.abc import Callable
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

import numpy as np
from appeal_table import load
from scipy.optimize import minimize
from scipy.special import expit
from sklearn.metrics import adjusted_rand_score, roc_auc_score

from setsolver.catalog.grouping import Habits, Sighting, group
from setsolver.catalog.neighbours import near_pairs
from setsolver.catalog.scenes import Fitted, Look, Weights, chances, cues
from setsolver.features.likeness import SAME_DISTANCE, signatures
from setsolver.features.places import scene_parts

READ = Path(__file__).with_name("scenes.csv")
AGAIN = Path(__file__).with_name("scene_pairs.csv")
BARS = (0.3, 0.35, 0.4, 0.45, 0.5)
RIDGE = 1e-4
HESITATED = 0.3
"""What a pair with a frame that the reader hesitated about weighs in fits."""


@dataclass(frozen=True)
class Shoot:
    """One source: labels and doubts as read, seconds (NaN unknown), what is seen, signatures."""

    name: str
    ids: list[str]
    scene: np.ndarray
    doubt: np.ndarray
    seconds: np.ndarray
    look: Look
    signature: np.ndarray

    def quick(self) -> Shoot:
        """The same without CLIP."""
        return Shoot(*self._but(self.seconds, self.look._replace(whole=np.zeros(len(self.ids), bool))))

    def untimed(self) -> Shoot:
        """The same without times."""
        return Shoot(*self._but(np.full(len(self.ids), np.nan), self.look))

    def _but(self, seconds: np.ndarray, look: Look) -> tuple:
        return self.name, self.ids, self.scene, self.doubt, seconds, look, self.signature


def shoots() -> list[Shoot]:
    with READ.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(row for row in file if not row.startswith("#")))
    table = load()
    at = {name: number for number, name in enumerate(table.name)}
    return [shoot(name, list(part), table, at) for name, part in groupby(rows, key=lambda row: row["source"])]


def shoot(name: str, rows: list[dict[str, str]], table: object, at: dict[str, int]) -> Shoot:
    rows = sorted(rows, key=lambda row: row["id"])  # as files are named
    here = [at[row["id"]] for row in rows]
    parts = scene_parts(table.lite[here], table.places[here])
    colour = np.array([[float(row[key]) for key in ("a", "b", "chroma", "mid")] for row in rows], np.float32)
    hashes = np.array([int(row["phash"], 16) for row in rows], np.uint64)
    return Shoot(
        name,
        [row["id"] for row in rows],
        np.unique([row["scene"] for row in rows], return_inverse=True)[1],
        np.array([row["doubt"] == "?" for row in rows]),
        np.array([float(row["seconds"] or "nan") for row in rows]),
        Look(parts, colour, np.ones(len(rows), bool)),
        signatures(table.lite[here], hashes),
    )


def pairs(one: Shoot) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Cues of all pairs [n, k], whether they are one scene, what they weigh: a shoot as its number of frames."""
    first, second = np.triu_indices(len(one.ids), 1)
    doubt = one.doubt[first] | one.doubt[second]
    weight = np.where(doubt, HESITATED, 1.0) / len(one.ids)
    return cues(one.look, one.seconds)[:, first, second].T, one.scene[first] == one.scene[second], weight


def fitted(table: list[tuple[np.ndarray, np.ndarray, np.ndarray]]) -> Fitted:
    cue, same, weight = (np.concatenate(part) for part in zip(*table, strict=True))
    timed = np.isfinite(cue[:, 4])
    out: dict[tuple[bool, bool], Weights] = {}
    for with_time in (True, False):
        for with_clip in (True, False):
            parts = (0, 1) if with_clip else (0,)
            columns = [*parts, 2, 3, *(range(4, cue.shape[1]) if with_time else ())]
            rows = timed if with_time else slice(None)
            out[with_time, with_clip] = regression(cue[rows][:, columns], same[rows], weight[rows], columns)
    return out


def regression(cue: np.ndarray, same: np.ndarray, weight: np.ndarray, columns: list[int]) -> Weights:
    """Logistic regression in which likeness can only speak for one scene, and distance and time only against it."""
    count = 8
    likeness = np.array([column < 2 for column in columns])
    bounds = [(None, None), *((0, None) if like else (None, 0) for like in likeness)]
    deviation = cue.std(axis=0)
    scaled, worth = cue / deviation, weight / weight.sum()
    sign = np.where(same, 1.0, -1.0)

    def loss(at: np.ndarray) -> tuple[float, np.ndarray]:
        margin = sign * (at[0] + scaled @ at[1:])
        slope = -worth * sign * expit(-margin)
        value = float(worth @ np.logaddexp(0, -margin)) + RIDGE * float(at[1:] @ at[1:])
        return value, np.concatenate([[slope.sum()], slope @ scaled + 2 * RIDGE * at[1:]])

    found = minimize(loss, np.zeros(len(columns) + 1), jac=True, bounds=bounds, method="L-BFGS-B").x
    full = np.zeros(count)
    full[columns] = found[1:] / deviation
    time = tuple(full[4:].round(3).tolist()) if columns[-1] > 3 else ()
    return Weights(round(float(found[0]), 2), tuple(full[:2].round(2).tolist()), *full[2:4].round(3).tolist(), time)


def scenes_of(one: Shoot, weights: Fitted, bar: float) -> np.ndarray:
    """Labels as a catalog gives them, by other weights and another bar."""
    count = len(one.ids)
    nothing = np.zeros(count, np.int64)
    seen = Sighting(one.signature, one.seconds, nothing, nothing)
    same = near_pairs(one.signature, SAME_DISTANCE)
    return group(seen, _Read(one.look), same, Habits(scene_bar=bar), weights).scene


class _Read:
    def __init__(self, look: Look) -> None:
        self._look = look

    def __getitem__(self, rows: np.ndarray) -> Look:
        return Look(tuple(part[rows] for part in self._look.parts), self._look.colour[rows], self._look.whole[rows])


def counts(one: Shoot, labels: np.ndarray) -> np.ndarray:
    """Pairs rightly together, wrongly together, wrongly apart; those that the reader hesitated about left out."""
    first, second = np.triu_indices(len(labels), 1)
    sure = ~(one.doubt[first] | one.doubt[second])
    read, told = (which[first[sure]] == which[second[sure]] for which in (one.scene, labels))
    return np.array([(read & told).sum(), (~read & told).sum(), (read & ~told).sum()])


def rand(one: Shoot, labels: np.ndarray) -> float:
    return float(adjusted_rand_score(one.scene[~one.doubt], labels[~one.doubt]))


def score(every: list[Shoot], labels: list[np.ndarray]) -> tuple[float, float, float, float]:
    """Precision, recall and F1 of pairs together, mean adjusted Rand index of shoots."""
    right, wrong, missed = sum(counts(one, found) for one, found in zip(every, labels, strict=True))
    precision, recall = right / max(right + wrong, 1), right / max(right + missed, 1)
    mean = float(np.mean([rand(one, found) for one, found in zip(every, labels, strict=True)]))
    return precision, recall, 2 * precision * recall / max(precision + recall, 1e-9), mean


def left_out(every: list[Shoot], bars: tuple[float, ...]) -> tuple[dict[float, list[np.ndarray]], float]:
    """Labels of each shoot by chances fitted to the others, for each bar; area under the curve of pairs."""
    table = [pairs(one) for one in every]
    told: dict[float, list[np.ndarray]] = {bar: [] for bar in bars}
    chance = []
    for number, one in enumerate(every):
        weights = fitted(table[:number] + table[number + 1 :])
        chance.append(chances(one.look, one.seconds, weights=weights)[np.triu_indices(len(one.ids), 1)])
        for bar in bars:
            told[bar].append(scenes_of(one, weights, bar))
    same, weight = (np.concatenate([row[k] for row in table]) for k in (1, 2))
    return told, float(roc_auc_score(same, np.concatenate(chance), sample_weight=weight))


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--sources", action="store_true")
    detailed = options.parse_args().sources
    every = shoots()
    ways: dict[str, Callable[[Shoot], Shoot]] = {
        "times where they are known": lambda one: one,
        "the same, without CLIP": Shoot.quick,
        "no times": Shoot.untimed,
        "no times, without CLIP": lambda one: one.untimed().quick(),
    }
    print("| | bar | area | precision | recall | F1 | adjusted Rand |\n| --- | --- | --- | --- | --- | --- | --- |")
    for number, (name, way) in enumerate(ways.items()):
        seen = [way(one) for one in every]
        told, area = left_out(seen, BARS if number == 0 else (Habits().scene_bar,))
        for bar, labels in told.items():
            numbers = " | ".join(f"{value:.3f}" for value in (area, *score(seen, labels)))
            print(f"| {name} | {bar:.2f} | {numbers} |", flush=True)
        if detailed:
            by_source(seen, told[Habits().scene_bar])
    print("fitted to all:")
    for key, weights in fitted([pairs(one) for one in every]).items():
        print(f"    {key}: {weights},")
    print(again(every))


def by_source(every: list[Shoot], labels: list[np.ndarray]) -> None:
    """Print every shoot, the worst first."""
    for one, found in sorted(zip(every, labels, strict=True), key=lambda row: rand(*row)):
        right, wrong, missed = counts(one, found)
        there = f"{len(set(one.scene.tolist()))} scenes read, {len(set(found.tolist()))} found"
        print(f"  {rand(one, found):.2f} {one.name}: {there}; pairs {right} right, {wrong} wrong, {missed} missed")


def again(every: list[Shoot]) -> str:
    """How far the second reading of pairs agrees with the first."""
    scene = {(one.name, name): where for one in every for name, where in zip(one.ids, one.scene, strict=True)}
    with AGAIN.open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(row for row in file if not row.startswith("#")) if row["read"] != "?"]
    same = [scene[row["source"], row["first"]] == scene[row["source"], row["second"]] for row in rows]
    agree = sum(one == row["read"].startswith("1") for one, row in zip(same, rows, strict=True))
    return f"second reading: {agree} of {len(rows)} pairs as in the first"


if __name__ == "__main__":
    main()
