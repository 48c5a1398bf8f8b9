"""Tilts stated for photographs of whole shoots that nothing was fitted on, against lines that were read by eye.

    python benchmarks/features/tilt_shoots.py PHOTOS SHOOTS

PHOTOS holds more.npz (``id`` and ``lite``, the embeddings) and shoots.csv (``id``, ``source`` and ``kind``), SHOOTS the
pictures as SOURCE/ID.jpg. A stated tilt is right, wrong or unclear as the line it follows was read
(horizons_shoots.csv); the bars of ``least_confidence`` were chosen on these photographs, all else on others.
"""

from __future__ import annotations

import argparse
import csv
from collections import Counter, defaultdict
from pathlib import Path

import cv2
import numpy as np
from fit_ground import places_of
from PIL import Image, ImageOps

from setsolver.features.ground import above_ground
from setsolver.features.horizon import LEAST_ODDS, find_tilt
from setsolver.features.models import Models, load_embedding
from setsolver.features.views import make_views

READINGS = Path(__file__).with_name("horizons_shoots.csv")
NEAR = (0.35, 0.06)
"""Degrees and share of the height within which a line is the one that was read."""


def readings() -> dict[str, tuple[float, float, str]]:
    with READINGS.open(encoding="utf-8") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        return {row["photograph"]: (float(row["degrees"]), float(row["height"]), row["reading"]) for row in rows}


def chosen(photos: Path) -> list[tuple[str, str, float]]:
    """Photographs in which a line is looked for: name, source, odds of a horizon."""
    with (photos / "shoots.csv").open(encoding="utf-8") as file:
        sources = {row["id"]: row["source"] for row in csv.DictReader(file) if row["kind"] == "photo"}
    with np.load(photos / "more.npz") as arrays:
        names, embeddings = [str(name) for name in arrays["id"]], arrays["lite"].astype(np.float32)
    odds = Models.load().horizon.odds(embeddings)[:, 1].tolist()
    found = [(name, sources[name], one) for name, one in zip(names, odds, strict=True) if name in sources]
    return [one for one in found if one[2] >= LEAST_ODDS]


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("photos", type=Path)
    options.add_argument("shoots", type=Path)
    given = options.parse_args()
    cv2.setNumThreads(1)
    network, read, tally = load_embedding(), readings(), defaultdict[str, Counter[str]](Counter)
    for name, source, odds in chosen(given.photos):
        file = given.shoots / source.replace("/", "+") / f"{name}.jpg"
        if not file.exists():
            continue
        with Image.open(file) as opened:
            rgb = np.ascontiguousarray(ImageOps.exif_transpose(opened).convert("RGB"))
        tilt = find_tilt(make_views(rgb), odds, above_ground(places_of(rgb, network)))
        tally[source]["looked at"] += 1
        if tilt.degrees is None:
            continue
        degrees, height, word = read.get(name, (np.inf, np.inf, ""))
        near = abs(tilt.degrees - degrees) < NEAR[0] and abs(tilt.horizon - height) < NEAR[1]
        tally[source][word if near else "not read"] += 1
        if word != "right" or not near:
            print(f"{name} {tilt.degrees:+.1f} at {tilt.horizon:.2f} sure {tilt.confidence:.2f}: {word or 'not read'}")
    kinds = ("looked at", "right", "wrong", "unclear", "not read")
    for source, counts in sorted(tally.items(), key=lambda row: -row[1]["looked at"]):
        print(f"{source:<50}", *(f"{kind} {counts[kind]:>3}" for kind in kinds if counts[kind]))
    print("all", *(f"{kind} {sum(counts[kind] for counts in tally.values())}" for kind in kinds))


if __name__ == "__main__":
    main()
