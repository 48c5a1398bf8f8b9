"""Fit the head that tells places above the horizon from those below.

    python benchmarks/features/fit_ground.py PHOTOS

Writes setsolver/models/ground.npz, fitted to the photographs whose horizon was read by eye (horizons.csv), also as
turned by known angles, and prints how well places are told where a source is left out.
"""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
from photographs import folder, labels, read
from scipy.optimize import minimize
from turns import TURNS, read_by_eye, turned, turned_line

from setsolver.features.attention import look
from setsolver.features.ground import GROUND_FILE, above_ground, share_above
from setsolver.features.models import Network, load_embedding
from setsolver.features.views import MIDDLE
from setsolver.scaling import shrunk

__all__ = ["every_above", "held_out_heads", "places_of"]

OUT = Path(__file__).parents[2] / "setsolver" / "models" / GROUND_FILE
STIFFNESS = 1e-3
SPREAD = 4.0
"""Standard deviations that count as one."""
Turned = tuple[str, float]
"""A photograph's name and by how many degrees it was turned."""


def places_of(rgb: np.ndarray, network: Network) -> np.ndarray:
    return look(shrunk(rgb, MIDDLE), network)[2]


def every_above(photos: Path, wanted: dict[str, tuple[float, ...]]) -> dict[Turned, np.ndarray]:
    """What the network says of the places of photographs, each turned by the angles that are wanted."""
    network, found = load_embedding(), {}
    for name, turns in wanted.items():
        rgb = read(photos, name)
        for turn in turns:
            found[name, turn] = places_of(turned(rgb, turn) if turn else rgb, network)
    return found


def targets(photos: Path) -> dict[Turned, np.ndarray]:
    """Share of every place that lies above the horizon, where it was read by eye."""
    found = {}
    for name, line in read_by_eye().items():
        if np.isnan(line[1]):
            continue
        shape = read(photos, name).shape
        for turn in (0.0, *TURNS):
            tilt, height = turned_line(line, shape, turn)
            rise = np.tan(np.radians(tilt)) * shape[1] / shape[0]
            found[name, turn] = share_above(height, rise, (7, 7))
    return found


def fit(maps: list[np.ndarray], shares: list[np.ndarray], stiffness: float = STIFFNESS) -> np.ndarray:
    """Logistic regression on soft targets; float32[d + 1]."""
    rows = np.concatenate([one.reshape(len(one), -1).T for one in maps]).astype(np.float64)
    target = np.concatenate([one.ravel() for one in shares])
    mean, deviation = rows.mean(axis=0), SPREAD * rows.std(axis=0)
    unit = np.hstack([(rows - mean) / deviation, np.ones((len(rows), 1))])

    def loss(weights: np.ndarray) -> tuple[float, np.ndarray]:
        score = unit @ weights
        slope = unit.T @ (1 / (1 + np.exp(-score)) - target) / len(unit)
        slope[:-1] += 2 * stiffness * weights[:-1]
        cost = np.mean(np.logaddexp(0, score) - target * score) + stiffness * float(weights[:-1] @ weights[:-1])
        return cost, slope

    weights = minimize(loss, np.zeros(unit.shape[1]), jac=True, method="L-BFGS-B", options={"maxiter": 200}).x
    plain = weights[:-1] / deviation
    return np.append(plain, weights[-1] - plain @ mean).astype(np.float32)


def held_out_heads(
    photos: Path, maps: dict[Turned, np.ndarray], sources: dict[str, str]
) -> tuple[dict[str, np.ndarray], np.ndarray]:
    """Heads fitted without each source, and the one fitted to all."""
    target = targets(photos)

    def fitted(left: str) -> np.ndarray:
        kept = [key for key in target if sources[key[0]] != left]
        return fit([maps[key] for key in kept], [target[key] for key in kept])

    every, known = fitted(""), {sources[name] for name, _ in target}
    return {source: fitted(source) if source in known else every for source in set(sources.values())}, every


def main() -> None:
    photos = folder(__doc__)
    sources = {name: row["source"] for name, row in labels(photos).items()}
    maps = every_above(photos, dict.fromkeys(read_by_eye(), (0.0, *TURNS)))
    heads, every = held_out_heads(photos, maps, sources)
    pairs = [(above_ground(maps[key], heads[sources[key[0]]]), share) for key, share in targets(photos).items()]
    clear = [(chance[share != 0.5], share[share != 0.5]) for chance, share in pairs]
    right = np.concatenate([(chance > 0.5) == (share > 0.5) for chance, share in clear])
    print(f"places told right: {right.mean():.1%} of {len(right)}")
    with np.load(OUT) as arrays:
        np.savez(OUT, **{**arrays, "weights": every})


if __name__ == "__main__":
    cv2.setNumThreads(1)
    main()
