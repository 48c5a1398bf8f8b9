"""Faces against two readers' words about people, and bursts ranked by quality.

    python benchmarks/features/faces.py PHOTOS

People: 2 = a usable face, 1 = visible, 0 = none. A burst here is a photograph with copies that are blurred as by a
slight miss of focus, as by a moved camera, and overexposed; the untouched one should rank first.
"""

from __future__ import annotations

import cv2
import numpy as np
from photographs import folder, labels, read, some

from setsolver.features.colour import linear_to_srgb, srgb_to_linear
from setsolver.features.edges import BlurMap
from setsolver.features.faces import find_faces
from setsolver.features.measure import measure
from setsolver.features.models import Models
from setsolver.features.views import make_views


def spoiled(rgb: np.ndarray) -> dict[str, np.ndarray]:
    shake = np.full((1, 7), 1 / 7, np.float32)
    return {
        "focus missed by 0.7 pixels": cv2.GaussianBlur(rgb, (0, 0), 0.7),
        "focus missed by 1.5 pixels": cv2.GaussianBlur(rgb, (0, 0), 1.5),
        "moved by 7 pixels": cv2.filter2D(rgb, -1, shake),
        "over by 1.5 EV": linear_to_srgb(srgb_to_linear(rgb) * np.float32(2**1.5)),
    }


def main() -> None:
    photos, models = folder(__doc__), Models.load()
    people: dict[str, list[int]] = {"0": [], "1": [], "2": []}
    for name, row in labels(photos).items():
        if row["people_a"] == row["people_b"]:
            views = make_views(read(photos, name))
            people[row["people_a"]].append(len(find_faces(views, models.faces, BlurMap(views.grey))))
    for word, counts in people.items():
        print(f"people {word}: {len(counts)} photographs, faces found in {np.mean(np.array(counts) > 0):.1%}")
    better: dict[str, list[bool]] = {}
    moved: dict[str, list[float]] = {"untouched": []}
    for _, rgb in some(photos, 6):
        plain = measure(rgb, models=models)
        moved["untouched"].append(plain.detail.motion)
        for name, picture in spoiled(rgb).items():
            found = measure(picture, models=models)
            better.setdefault(name, []).append(plain.quality > found.quality)
            moved.setdefault(name, []).append(found.detail.motion)
    for name, wins in better.items():
        print(f"untouched above {name}: {np.mean(wins):.1%} of {len(wins)}")
    for name, values in moved.items():
        print(f"motion, {name}: median {np.median(values):.2f}, above 0.25 in {np.mean(np.array(values) > 0.25):.1%}")


if __name__ == "__main__":
    main()
