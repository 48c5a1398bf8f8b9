"""Make the table that appeal and shot scale are fitted to: embeddings, measures and readings, never a photograph.

    python benchmarks/features/make_appeal_table.py PHOTOS [PICTURES]

PHOTOS holds frames/*.jpg with labels.csv and appeal.csv, shoots.csv with more.npz and clip_442.npz. PICTURES holds the
photographs of shoots.csv rebuilt as OWNER+NAME/ID.jpg; those that are there are measured as a scan measures them. Of
the others the table takes the embeddings of more.npz, whose inner view is the frame's middle half, and has no measures
(``measured`` 0). Embeddings are stored as 8-bit codes, column by column.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from joblib import Parallel, delayed
from PIL import Image, ImageOps

from setsolver.domain.measures import Measures
from setsolver.domain.origin import origins
from setsolver.features.appeal import numbers_of
from setsolver.features.measure import Models, measure
from setsolver.scaling import shrunk

TABLE = Path(__file__).with_name("appeal_table.npz")
SOURCES = Path(__file__).with_name("appeal_sources.csv")
UNASKED = {"appeal", "kind", "upright", "people", "figures", "palette"}
PARTS = ("clip", "places", "inner_places", "lite", "inner_lite")
Row = dict[str, Any]


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def looked_at(file: Path) -> Row | None:
    """What a scan measures of a picture, as far as the table holds it."""
    if not file.is_file():
        return None
    cv2.setNumThreads(1)
    with Image.open(file) as opened:
        rgb = np.ascontiguousarray(ImageOps.exif_transpose(opened).convert("RGB"))
    found = measure(shrunk(rgb, 1280), models=models(), names=origins(Measures).keys() - UNASKED)
    assert found.clip is not None
    return {
        "clip": found.clip.embedding,
        "places": found.clip.places,
        "inner_places": found.clip.inner,
        "lite": found.embedding,
        "inner_lite": found.inner_embedding,
        "layers": found.layers,
        "numbers": numbers_of(found.tone, found.detail, found.quality, found.subject, found.faces),
    }


def models(made: list[Models] = []) -> Models:  # noqa: B006 - one for each process
    if not made:
        made.append(Models.load())
    return made[0]


def readings(photos: Path) -> list[Row]:
    """Two readings of appeal, scale and second choice of every photograph, with its source and kind."""
    source = {row["id"][:4]: row for row in rows(photos / "photos.csv")}
    labels = {row["id"]: row for row in rows(photos / "labels.csv")}
    own = [{**row, **labels[row["id"]], "kind": "photo"} for row in rows(photos / "appeal.csv")]
    own = [{**row, "source": source[row["id"]]["source"], "licence": source[row["id"]]["licence"]} for row in own]
    for row in own:
        if "none" in {row["scale_a"], row["scale_b"]}:
            row["kind"] = "graphic"
    return own + rows(photos / "shoots.csv")


def coded(values: np.ndarray, *, root: bool) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """8-bit codes of values or of their roots, and the least and the step of each column."""
    values = np.sqrt(np.maximum(values.astype(np.float32), 0)) if root else values.astype(np.float32)
    least = values.min(axis=0)
    step = np.maximum(values.max(axis=0) - least, 1e-6) / 255
    return np.rint((values - least) / step).astype(np.uint8), least.astype(np.float32), step.astype(np.float32)


def main(photos: Path, pictures: Path | None) -> None:
    read = readings(photos)
    at = [photos / "frames" / f"{row['id']}.jpg" for row in read]
    for k, row in enumerate(read):
        if pictures and not at[k].is_file():
            at[k] = pictures / row["source"].replace("/", "+").replace(" ", "+") / f"{row['id']}.jpg"
    looked = Parallel(n_jobs=2)(delayed(looked_at)(file) for file in at)
    with np.load(photos / "more.npz") as more:
        place = {name: k for k, name in enumerate(more["id"])}
        given = {"clip": more["clip"], "places": more["clip_mean"], "inner_places": more["clip_mean"]}
        given |= {"lite": more["lite"], "inner_lite": more["lite_inner"]}
    known = [
        one or {name: given[name][place[row["id"]]] for name in PARTS} for one, row in zip(looked, read, strict=True)
    ]
    write(read, known, np.array([one is not None for one in looked]))


def write(read: list[Row], known: list[Row], measured: np.ndarray) -> None:
    columns: dict[str, np.ndarray] = {"measured": measured.astype(np.uint8)}
    for name in PARTS:
        code, least, step = coded(np.array([one[name] for one in known]), root="lite" in name)
        columns |= {name: code, f"{name}_least": least, f"{name}_step": step}
    none = np.zeros(len(next(one["numbers"] for one in known if "numbers" in one)))
    columns["numbers"] = np.array([one.get("numbers", none) for one in known], np.float32)
    for name in ("appeal_a", "appeal_b"):
        columns[name] = np.array([float(row[name]) for row in read], np.float32)
    for name in ("id", "scale_a", "second_a", "scale_b", "second_b", "kind"):
        columns[name] = np.array([row[name] for row in read])
    licence = {row["source"]: row["licence"] for row in read}
    names = sorted(licence)
    columns["source"] = np.array([names.index(row["source"]) for row in read], np.int16)
    np.savez_compressed(TABLE, **columns)
    with SOURCES.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("number", "source", "licence", "photographs"))
        for k, name in enumerate(names):
            writer.writerow((k, name, licence[name], int((columns["source"] == k).sum())))
    size = TABLE.stat().st_size / 1e6
    print(f"{len(read)} photographs of {len(names)} sources, {measured.sum()} measured, {size:.1f} MB")


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]) if len(sys.argv) > 2 else None)
