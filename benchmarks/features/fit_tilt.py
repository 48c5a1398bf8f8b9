"""Fit the weights by which lines compete for being the horizon.

    python benchmarks/features/fit_tilt.py PHOTOS

Prints the weights of ALONE for setsolver/features/horizon.py. Photographs to which a reader gives a horizon count with
the line read by eye (horizons.csv), and as turned by known angles; those whose line could not be read are left out;
all others count as having none. What lies above is told by heads fitted without its source (fit_ground.py).
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from fit_ground import every_above, held_out_heads
from photographs import folder, labels, read
from scipy.optimize import minimize
from turns import TURNS, has_horizon, likely, read_by_eye, turned, turned_line

from setsolver.features.ground import above_ground
from setsolver.features.horizon import ALONE, MOST_LINES
from setsolver.features.horizon_cues import CUES, horizon_cues
from setsolver.features.lines import Line, edge_points, strongest_lines
from setsolver.features.views import make_views

NEAR = (0.35, 0.06)
"""Degrees and share of the height within which a line is the one that was read."""
STIFFNESS = 3e-4


@dataclass(frozen=True)
class Example:
    """Cues of a picture's lines [lines, cues] and which of them are right."""

    name: str
    source: str
    cues: np.ndarray
    right: np.ndarray


def example(
    name: str, source: str, rgb: np.ndarray, odds: float, above: np.ndarray, truth: tuple[float, float] | None
) -> Example:
    views = make_views(rgb)
    points = edge_points(cv2.cvtColor(views.middle, cv2.COLOR_RGB2GRAY))
    lines = strongest_lines(points, MOST_LINES)
    cues = horizon_cues(lines, views.lab, odds, above)
    told = ~np.isnan(cues).any(axis=1)
    right = np.array([is_near(line, points.height, truth) for line in lines], bool)
    return Example(name, source, cues[told], right[told])


def is_near(line: Line, height: int, truth: tuple[float, float] | None) -> bool:
    """Whether a line is the one that was read; where no height was read (level things) its angle is enough."""
    if truth is None or abs(line.degrees - truth[0]) >= NEAR[0]:
        return False
    return bool(np.isnan(truth[1])) or abs(line.middle / height - truth[1]) < NEAR[1]


def grounds(photos: Path, odds: dict[str, float]) -> dict[tuple[str, float], np.ndarray]:
    """Chances that places lie above the horizon, of every photograph that is looked at, as turned."""
    rows = labels(photos)
    looked_at = {name: row for name, row in rows.items() if has_horizon(row) or odds[name] >= ALONE.least_odds}
    turns = {name: (0.0, *TURNS) if has_horizon(row) else (0.0,) for name, row in looked_at.items()}
    maps = every_above(photos, turns)
    heads, _ = held_out_heads(photos, maps, {name: row["source"] for name, row in rows.items()})
    return {key: above_ground(one, heads[rows[key[0]]["source"]]) for key, one in maps.items()}


def examples(photos: Path, odds: dict[str, float], above: dict[tuple[str, float], np.ndarray]) -> list[Example]:
    truth, found = read_by_eye(), []
    for name, row in labels(photos).items():
        has = has_horizon(row)
        if odds[name] < ALONE.least_odds or (has and name not in truth):
            continue
        rgb = read(photos, name)
        for turn in (0.0, *TURNS) if has else (0.0,):
            line = turned_line(truth[name], rgb.shape, turn) if has else None
            picture = turned(rgb, turn) if turn else rgb
            found.append(example(name, row["source"], picture, odds[name], above[name, turn], line))
    return found


def fit(chosen: list[Example], stiffness: float = STIFFNESS) -> np.ndarray:
    """Most likely weights of a conditional logit with a small quadratic penalty; [cues + 1]."""
    every = np.concatenate([one.cues for one in chosen])
    mean, deviation = every.mean(axis=0), every.std(axis=0)
    times = Counter(one.name for one in chosen)
    units = [(one.cues - mean) / deviation for one in chosen]
    shares = [1.0 / times[one.name] for one in chosen]

    def loss(weights: np.ndarray) -> tuple[float, np.ndarray]:
        total = stiffness * len(chosen) * float(weights[:-1] @ weights[:-1])
        slope = np.append(2 * stiffness * len(chosen) * weights[:-1], 0.0)
        for one, unit, share in zip(chosen, units, shares, strict=True):
            score = np.append(unit @ weights[:-1] + weights[-1], 0.0)
            chance = np.exp(score - score.max())
            chance /= chance.sum()
            good = chance * np.append(one.right, not one.right.any())
            total -= share * np.log(good.sum())
            pull = (chance - good / good.sum())[:-1]
            slope += share * np.append(unit.T @ pull, pull.sum())
        return total, slope

    weights = minimize(loss, np.zeros(every.shape[1] + 1), jac=True, method="L-BFGS-B").x
    plain = weights[:-1] / deviation
    return np.append(plain, weights[-1] - plain @ mean)


def held_out_weights(found: list[Example]) -> dict[str, np.ndarray]:
    """Weights fitted without each source."""
    return {left: fit([one for one in found if one.source != left]) for left in {one.source for one in found}}


def main() -> None:
    photos, odds = folder(__doc__), likely()
    weights = fit(examples(photos, odds, grounds(photos, odds)))
    for name, weight in zip((*CUES, "one"), weights, strict=True):
        print(f"{name:<10} {weight:+.3f}")
    print("[" + ", ".join(f"{weight:.3f}" for weight in weights) + "]")


if __name__ == "__main__":
    main()
