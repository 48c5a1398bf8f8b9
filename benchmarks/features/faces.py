"""Faces against two readers' words about people, and where they look against words by eye.

    python benchmarks/features/faces.py PHOTOS

People: 2 = a usable face, 1 = visible, 0 = none. Facing: ``facing.csv`` (where a face is, and where it looks).
"""

from __future__ import annotations

import csv
from collections import Counter
from pathlib import Path

import numpy as np
from photographs import folder, labels, read

from setsolver.domain.measures import Face
from setsolver.features.edges import BlurMap
from setsolver.features.faces import find_faces
from setsolver.features.models import Models
from setsolver.features.views import make_views

FACING = Path(__file__).with_name("facing.csv")
WAYS = ("left", "front", "right")


def facing(photos: Path, models: Models) -> None:
    with FACING.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    found = {name: faces_in(photos, name, models) for name in sorted({row["frame"] for row in rows})}
    table: Counter[tuple[str, str]] = Counter()
    for row in rows:
        at = float(row["x"]), float(row["y"])
        near = [face for face in found[row["frame"]] if np.hypot(*np.subtract(face.box.centre, at)) < face.box.w / 2]
        table[row["facing"], near[0].facing if near else "not found"] += 1
    print(f"facing, {len(rows)} faces: by eye (rows) and found")
    for said in WAYS:
        print(f"  {said:>6}", *(f"{way} {table[said, way]}" for way in (*WAYS, "not found")))


def faces_in(photos: Path, name: str, models: Models) -> tuple[Face, ...]:
    views = make_views(read(photos, name))
    return find_faces(views, models.faces, BlurMap(views.grey))


def main() -> None:
    photos, models = folder(__doc__), Models.load()
    people: dict[str, list[int]] = {"0": [], "1": [], "2": []}
    for name, row in labels(photos).items():
        if row["people_a"] == row["people_b"]:
            people[row["people_a"]].append(len(faces_in(photos, name, models)))
    for word, counts in people.items():
        print(f"people {word}: {len(counts)} photographs, faces found in {np.mean(np.array(counts) > 0):.1%}")
    facing(photos, models)


if __name__ == "__main__":
    main()
