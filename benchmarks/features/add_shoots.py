"""Add shoots that one or two readers rated to what appeal is fitted to: numbers and readings, never a photograph.

    python benchmarks/features/add_shoots.py SHOOTS READINGS[:SECOND] PHOTOS [PICTURES]

SHOOTS holds photographs as SHOOT/NAME.jpg and index.csv with a shoot and its source on each line; READINGS holds
SHOOT.csv with id (NAME), appeal and kind, and so may SECOND, another reader's. Shoots without readings and sources that
the table has are left out. PHOTOS and PICTURES are those of make_appeal_table.py: of the table's photographs that are
there, the inner layers of CLIP are taken too. What appeal_more.npz has already is not looked at again.
Writes appeal_more.npz and the lines of appeal_sources.csv after the table's; embeddings are stored as in
appeal_table.npz.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

import numpy as np
from appeal_rows import MORE
from appeal_table import SOURCES, decoded, load, names
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


def rated(shoots: Path, *readings: Path) -> list[Row]:
    """Mean readings of the shoots that may be added, with how many there are, their files and sources."""
    with (shoots / "index.csv").open(encoding="utf-8") as file:
        source = {shoot: name for shoot, name, *_ in csv.reader(file)}
    known = set(table_names())
    given: dict[tuple[str, str], list[dict[str, str]]] = {}
    for folder in readings:
        for file in sorted(folder.glob("*.csv")):
            for row in rows(file):
                if row["appeal"] and source[file.stem] not in known:
                    given.setdefault((file.stem, row["id"]), []).append(row)
    return [
        {
            **several[0],
            "shoot": shoot,
            "source": source[shoot],
            "appeal": sum(float(one["appeal"]) for one in several) / len(several),
            "readers": len(several),
        }
        for (shoot, _), several in given.items()
    ]


def known_rows() -> tuple[dict[str, Row], list[np.ndarray | None]]:
    """What was looked at before, by name, and the inner layers of the table's photographs."""
    with np.load(MORE) as more:
        parts = {name: decoded(more, name) for name in ("clip", "places", "lite", "layers")}
        numbers, names_, layered = more["numbers"], more["id"], more["layered"] > 0
    table = len(layered) - len(names_)
    parts["layers"], of_table = parts["layers"][table:], parts["layers"][:table]
    found = {
        str(name): {part: values[k] for part, values in parts.items()} | {"numbers": numbers[k]}
        for k, name in enumerate(names_)
    }
    return found, [one if there else None for one, there in zip(of_table, layered, strict=False)]


def main(shoots: Path, readings: list[Path], photos: Path, pictures: Path) -> None:
    read = rated(shoots, *readings)
    known, of_table = known_rows()
    at = [shoots / row["shoot"] / f"{row['id']}.jpg" for row in read]
    name = [f"{row['shoot']}-{row['id']}" for row in read]
    new = {one: file for one, file in zip(name, at, strict=True) if one not in known}
    known |= zip(new, Parallel(n_jobs=2)(delayed(looked_at)(file) for file in new.values()), strict=True)
    kept = [(row, found) for row, one in zip(read, name, strict=True) if (found := known[one]) is not None]
    missing = [(k, file) for k, file in enumerate(table_files(photos, pictures)) if of_table[k] is None]
    taken = dict(enumerate(of_table))
    taken |= zip((k for k, _ in missing), Parallel(n_jobs=2)(delayed(layers_of)(f) for _, f in missing), strict=True)
    write([row for row, _ in kept], [one for _, one in kept], list(taken.values()))


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
    columns["readers"] = np.array([row["readers"] for row in read], np.uint8)
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
    shoots, readings, photos, *pictures = sys.argv[1:]
    main(Path(shoots), [Path(one) for one in readings.split(":")], Path(photos), Path((pictures or [photos])[0]))
