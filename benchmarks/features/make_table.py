"""Make the training table of the heads: embeddings and labels of photographs, never the photographs.

    python benchmarks/features/make_table.py PHOTOS

PHOTOS holds frames/*.jpg, labels.csv (two readings of scale, second choice and horizon), photos.csv (sources) and
extra_embeddings.npz (the same of photographs that are not there). Embeddings are stored as 8-bit codes of their square
roots, column by column: the heads work on those roots, and the rounding moves no cosine by more than 1e-4.
Run package_photographs.py after it: it adds what packages carry.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

import cv2
import numpy as np
from PIL import Image, ImageOps

from setsolver.features.likeness import embed
from setsolver.features.models import Network, load_embedding
from setsolver.features.views import MIDDLE
from setsolver.scaling import shrunk

TABLE = Path(__file__).with_name("training_table.npz")
FIRST_OWN_SOURCE = 100


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def parts(picture: np.ndarray) -> list[np.ndarray]:
    """The picture, its four quadrants and its centre."""
    height, width = picture.shape[:2]
    corners = [(0, 0), (0, 2), (2, 0), (2, 2), (1, 1)]
    cut = [picture[r * height // 4 :, c * width // 4 :][: height // 2, : width // 2] for r, c in corners]
    return [picture, *cut]


def embeddings(folder: Path, ids: list[str], network: Network) -> tuple[np.ndarray, np.ndarray]:
    whole, inner = [], []
    for name in ids:
        with Image.open(folder / f"{name}.jpg") as opened:
            picture = np.asarray(ImageOps.exif_transpose(opened).convert("RGB"))
        found = embed(parts(shrunk(picture, MIDDLE)), network).astype(np.float32)
        whole.append(found[0])
        inner.append(found[1:].mean(axis=0))
    return np.array(whole), np.array(inner)


def coded(values: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    root = np.sqrt(np.maximum(values.astype(np.float32), 0))
    top = np.maximum(root.max(axis=0), 1e-6)
    return np.rint(root / top * 255).astype(np.uint8), top.astype(np.float32)


def main(photos: Path) -> None:
    cv2.setNumThreads(1)
    labels, extra = rows(photos / "labels.csv"), np.load(photos / "extra_embeddings.npz")
    source = {row["id"][:4]: row["source"] for row in rows(photos / "photos.csv")}
    names = sorted(set(source.values()))
    ids = [row["id"] for row in labels]
    whole, inner = embeddings(photos / "frames", ids, load_embedding())
    code, top = coded(np.concatenate([whole, extra["embedding"]]))
    inner_code, inner_top = coded(np.concatenate([inner, extra["quadrant_mean"]]))
    columns = {
        "scale": [row["scale_a"] for row in labels] + list(extra["scale"]),
        "second": [row["second_a"] for row in labels] + list(extra["second"]),
        "scale_b": [row["scale_b"] for row in labels] + [""] * len(extra["scale"]),
        "second_b": [row["second_b"] for row in labels] + [""] * len(extra["scale"]),
        "horizon": [int(row["horizon_a"]) + int(row["horizon_b"]) for row in labels] + [-1] * len(extra["scale"]),
        "people": [max(int(row["people_a"]), int(row["people_b"])) for row in labels] + list(extra["people"]),
        "source": [FIRST_OWN_SOURCE + names.index(source[name]) for name in ids] + list(extra["source"]),
        "picture": [int(name) for name in ids] + [-1] * len(extra["scale"]),
    }
    np.savez_compressed(TABLE, code=code, top=top, inner_code=inner_code, inner_top=inner_top, **columns)
    print(f"{len(code)} photographs of {len(set(columns['source']))} sources, {TABLE.stat().st_size / 1e6:.1f} MB")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
