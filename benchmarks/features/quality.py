"""Quality of photographs: how it spreads, whether it ranks spoiled copies below, and motion told from focus.

    python benchmarks/features/quality.py PHOTOS

A burst here is a photograph (every sixth) with copies that are spoiled in a known way; the untouched one should rank
first: by itself, and as a frame of one moment with its copy, as a brief weighs them. Reject: frames that a reader would
throw out for technical reasons (labels.csv).
"""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
from photographs import folder, labels, read, some
from sklearn.metrics import roc_auc_score

from setsolver.colour.lab import linear_to_srgb, srgb_to_linear
from setsolver.domain.frame import Frame, Shot
from setsolver.domain.measures import Measures
from setsolver.features.measure import measure
from setsolver.features.models import Models
from setsolver.rules.quality import MOTION, sister_costs

SPREAD = (1, 5, 25, 50, 75, 95, 99)


def shaken(length: int, degrees: float) -> np.ndarray:
    """Kernel of a straight movement, drawn between pixels."""
    size = length + 6
    kernel, middle, way = np.zeros((size, size), np.float32), (size - 1) / 2, np.radians(degrees)
    for step in np.linspace(-(length - 1) / 2, (length - 1) / 2, 8 * length):
        x, y = middle + step * np.cos(way), middle + step * np.sin(way)
        for row in (int(y), int(y) + 1):
            for column in (int(x), int(x) + 1):
                kernel[row, column] += (1 - abs(x - column)) * (1 - abs(y - row))
    return kernel / kernel.sum()


def brighter(rgb: np.ndarray, ev: float) -> np.ndarray:
    return linear_to_srgb(srgb_to_linear(rgb) * np.float32(2**ev))


def noisy(rgb: np.ndarray, deviation: float, random: np.random.Generator) -> np.ndarray:
    """Noise that is half shared by the channels."""
    noise = random.normal(0, deviation, rgb.shape)
    noise = 0.5 * noise + 0.85 * noise.mean(axis=2, keepdims=True)
    return np.clip(np.rint(rgb + noise), 0, 255).astype(np.uint8)


def faults(random: np.random.Generator) -> dict[str, Callable[[np.ndarray], np.ndarray]]:
    moved = {(7, 0): shaken(7, 0), (7, 37): shaken(7, 37), (13, 60): shaken(13, 60)}
    return (
        {f"focus missed by {s} pixels": lambda rgb, s=s: cv2.GaussianBlur(rgb, (0, 0), s) for s in (0.7, 1.5, 3.0)}
        | {
            f"moved by {n} pixels at {d} degrees": lambda rgb, k=k: cv2.filter2D(rgb, -1, k)
            for (n, d), k in moved.items()
        }
        | {f"noise of {s} codes": lambda rgb, s=s: noisy(rgb, s, random) for s in (4, 10)}
        | {f"exposed by {ev:+} EV": lambda rgb, ev=ev: brighter(rgb, ev) for ev in (1.0, 1.5, -1.0, -1.5)}
    )


def spread(photos_quality: dict[str, float], rejected: dict[str, bool]) -> None:
    values, reject = np.array(list(photos_quality.values())), np.array([rejected[name] for name in photos_quality])
    print(
        f"quality of {len(values)}: "
        + ", ".join(f"{p} % {v:.3f}" for p, v in zip(SPREAD, np.percentile(values, SPREAD), strict=True))
    )
    print(f"reject by a reader: {reject.sum()}, area under the curve {roc_auc_score(reject, -values):.3f}")


def in_one_moment(before: Measures, after: Measures) -> bool:
    """Whether the first ranks above the second where both are frames of one moment."""
    both = tuple(Frame(k, "", 6000, 4000, 1, Shot(), measures, moment=0) for k, measures in enumerate((before, after)))
    cost = sister_costs(both)
    return bool(before.quality - cost[0] > after.quality - cost[1])


def main() -> None:
    photos, models, random = folder(__doc__), Models.load(), np.random.default_rng(0)
    rows = labels(photos)
    plain = {name: measure(read(photos, name), models=models) for name in rows}
    spread(
        {name: found.quality for name, found in plain.items()},
        {name: "1" in {row["reject_a"], row["reject_b"]} for name, row in rows.items()},
    )
    motion = np.array([found.detail.motion for found in plain.values()])
    print(f"untouched, {len(motion)}: motion from {MOTION} in {np.mean(motion >= MOTION):.1%}")
    for fault, spoil in faults(random).items():
        pairs = [(plain[name], measure(spoil(rgb), models=models)) for name, rgb in some(photos, 6)]
        ranked = np.mean([before.quality > after.quality for before, after in pairs])
        together = np.mean([in_one_moment(before, after) for before, after in pairs])
        moved = np.mean([after.detail.motion >= MOTION for _, after in pairs])
        fall = np.mean([before.quality - after.quality for before, after in pairs])
        told = f"{ranked:.1%} of {len(pairs)} ranked right, in one moment {together:.1%}"
        print(f"{fault}: {told}, mean fall {fall:.3f}, motion in {moved:.1%}", flush=True)


if __name__ == "__main__":
    main()
