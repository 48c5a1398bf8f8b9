"""Recovery of known rotations, and silence where there is no horizon.

    python benchmarks/features/tilt.py PHOTOS

The odds that a frame has a horizon come from heads fitted without its source.
"""

from __future__ import annotations

import cv2
import numpy as np
from fit_heads import STIFFNESS, held_out, places
from photographs import folder, labels, read
from table import load

from setsolver.features.horizon import find_tilt
from setsolver.features.views import make_views

TURNS = (-5.0, -2.5, -1.0, 1.0, 2.5, 5.0)


def turned(rgb: np.ndarray, degrees: float) -> np.ndarray:
    """The picture with its right end lowered by ``degrees``, cut to what the turn leaves covered."""
    height, width = rgb.shape[:2]
    matrix = cv2.getRotationMatrix2D(((width - 1) / 2, (height - 1) / 2), -degrees, 1.0)
    whole = cv2.warpAffine(rgb, matrix, (width, height), flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT)
    sine, cosine = np.sin(np.radians(abs(degrees))), np.cos(np.radians(degrees))
    share = 0.995 * min(height / (width * sine + height * cosine), width / (height * sine + width * cosine))
    rows, columns = int(height * share), int(width * share)
    top, left = (height - rows) // 2, (width - columns) // 2
    return np.ascontiguousarray(whole[top : top + rows, left : left + columns])


def likely() -> dict[str, float]:
    table = load()
    known = table.horizon >= 0
    chance = table.horizon[known] / 2
    target = np.stack([1 - chance, chance], axis=1)
    odds = held_out(places(table.whole[known]).at, target, table.source[known], STIFFNESS["horizon"])[:, 1]
    return {f"{number:04d}": float(value) for number, value in zip(table.picture[known], odds, strict=True)}


def main() -> None:
    photos = folder(__doc__)
    odds, readings = likely(), labels(photos)
    with_horizon, errors, silent, misses, false = 0, [], 0, [], []
    for name, row in readings.items():
        has = row["horizon_a"] == "1" or row["horizon_b"] == "1"
        with_horizon += has
        if row["scale_a"] == "none" and not has:
            continue
        rgb = read(photos, name)
        still = find_tilt(make_views(rgb), odds[name])
        if still.degrees is None:
            continue
        if not has:
            false.append((abs(still.degrees), name))
            continue
        for turn in TURNS:
            found = find_tilt(make_views(turned(rgb, turn)), odds[name]).degrees
            if found is None:
                silent += 1
                continue
            errors.append(abs(found - still.degrees - turn))
            if errors[-1] > 0.3:
                misses.append(f"{name} by {turn:+.1f}: {found - still.degrees:+.2f}")
    error, without = np.array(errors), len(readings) - with_horizon
    answered = (len(error) + silent) // len(TURNS)
    print(f"frames that a reader gives a horizon: {with_horizon}; a tilt is stated for {answered}")
    print(f"rotations of those: {len(error)} answered, {silent} not; within 0.3 degrees {np.mean(error <= 0.3):.1%},"
          f" 0.5 degrees {np.mean(error <= 0.5):.1%}; median error {np.median(error):.3f}")  # fmt: skip
    print("missed:", "; ".join(misses))
    steep = sum(angle > 3 for angle, _ in false)
    print(f"frames without: {without}; a tilt is stated for {len(false)}, above 1 degree for"
          f" {sum(angle > 1 for angle, _ in false)}, above 3 degrees for {steep}")  # fmt: skip


if __name__ == "__main__":
    main()
