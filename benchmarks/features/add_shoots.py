"""Add shoots that one reader rated to what appeal is fitted to: numbers and readings, never a photograph.

    python benchmarks/features/add_shoots.py SHOOTS READINGS PHOTOS [PICTURES]

SHOOTS holds photographs as SHOOT/NAME.jpg and index.csv with a shoot and its source on each line; READINGS holds
SHOOT.csv with id (NAME), appeal and kind. Shoots without readings and sources that the table has are left out. PHOTOS
and PICTURES are those of make_appeal_table.py: of the table's photographs that are there, the inner layers of CLIP are
taken too.
Writes appeal_more.npz and the lines of appeal_sources.csv after the table's; embeddings are stored as in
appeal_table.npz.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

import numpy as np
from appeal_rows import MORE
from appeal_table import SOURCES, load, names
from joblib import Parallel, delayed
from make_appeal_table import Row, coded, looked_at, models, rows
from PIL import Image, ImageOps

from setsolver.domain.measures import LAYERS_SIZE
from setsolver.features.clip import clip_of
from setsolver.scaling import shrunk

LICENCE = "not looked up"


def layers_of(file: Path) -> np.ndarray | None:
    """What CLIP's inner layers say of a picture, float32[128]; None where it is not at hand."""
    if not file.is_file():
        return None
    with Image.open(file) as opened:
        rgb = np.ascontiguousarray(ImageOps.exif_transpose(opened).convert("RGB"))
    return models().layers.at(clip_of(shrunk(rgb, 1280), models().clip).classes[None])[0]


def table_names() -> list[str]:
    """Sources of the table itself, by number, whatever was added before."""
    return names()[: int(load().source.max()) + 1]


def table_files(photos: Path, pictures: Path) -> list[Path]:
    """Where each photograph of the table would lie."""
    table, source = load(), names()
    at = [photos / "frames" / f"{name}.jpg" for name in table.name]
    folder = [source[number].replace("/", "+").replace(" ", "+") for number in table.source]
    return [one if one.is_file() else pictures / f / one.name for one, f in zip(at, folder, strict=True)]


def rated(shoots: Path, readings: Path) -> list[Row]:
    """Readings of the shoots that may be added, with their files and sources."""
    with (shoots / "index.csv").open(encoding="utf-8") as file:
        source = {shoot: name for shoot, name, *_ in csv.reader(file)}
    known = set(table_names())
    found = []
    for file in sorted(readings.glob("*.csv")):
        if source[file.stem] not in known:
            found += [{**row, "shoot": file.stem, "source": source[file.stem]} for row in rows(file)]
    return found


def main(shoots: Path, readings: Path, photos: Path, pictures: Path) -> None:
    read = rated(shoots, readings)
    at = [shoots / row["shoot"] / f"{row['id']}.jpg" for row in read]
    looked = Parallel(n_jobs=2)(delayed(looked_at)(file) for file in at)
    kept = [(row, one) for row, one in zip(read, looked, strict=True) if one is not None]
    layers = Parallel(n_jobs=2)(delayed(layers_of)(file) for file in table_files(photos, pictures))
    write([row for row, _ in kept], [one for _, one in kept], layers)


def write(read: list[Row], looked: list[Row], layers: list[np.ndarray | None]) -> None:
    known, added = table_names(), sorted({row["source"] for row in read})
    every = [*layers, *(one["layers"] for one in looked)]
    none = np.zeros(LAYERS_SIZE, np.float32)
    parts = {name: np.array([one[name] for one in looked]) for name in ("clip", "places", "lite")}
    parts["layers"] = np.array([none if one is None else one for one in every])
    columns: dict[str, np.ndarray] = {"layered": np.array([one is not None for one in every], np.uint8)}
    for name, part in parts.items():
        code, least, step = coded(part, root=name == "lite")
        columns |= {name: code, f"{name}_least": least, f"{name}_step": step}
    columns["numbers"] = np.array([one["numbers"] for one in looked], np.float32)
    columns["appeal"] = np.array([float(row["appeal"]) for row in read], np.float32)
    columns["id"] = np.array([f"{row['shoot']}-{row['id']}" for row in read])
    columns["kind"] = np.array([row["kind"] for row in read])
    columns["source"] = np.array([len(known) + added.index(row["source"]) for row in read], np.int16)
    np.savez_compressed(MORE, **columns)
    lines = SOURCES.read_text(encoding="utf-8").splitlines(keepends=True)[: len(known) + 1]
    with SOURCES.open("w", encoding="utf-8", newline="") as file:
        file.writelines(lines)
        writer = csv.writer(file, lineterminator="\n")
        for k, name in enumerate(added, start=len(known)):
            writer.writerow((k, name, LICENCE, int((columns["source"] == k).sum())))
    print(f"{len(read)} photographs of {len(added)} sources added, {MORE.stat().st_size / 1e6:.1f} MB; of the table's")
    print(f"{len(layers)} the inner layers of {sum(one is not None for one in layers)}")


if __name__ == "__main__":
    if len(sys.argv) < 4:
        sys.exit(__doc__)
    main(*(Path(name) for name in (*sys.argv[1:4], sys.argv[4] if len(sys.argv) > 4 else sys.argv[3])))
