"""Add photographs that packages carry to the training table: embeddings and readings, never the photographs.

    python benchmarks/features/package_photographs.py FOLDER

FOLDER holds the packages of package_sources.csv, unpacked. Photographs are known by the first 16 digits of their
SHA-256 (package_readings.csv, one reading by eye as contact sheets), wherever they lie; those inside a Qt resource
file (.rcc) or a zip archive are taken out of it first. Rows of an earlier run are replaced. New packages and readings
go to the end of their files, so that rows and sources keep their numbers. An empty horizon means that nobody looked.
"""

from __future__ import annotations

import csv
import hashlib
import io
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np
from make_table import TABLE, coded, parts
from PIL import Image, ImageOps
from table import FIRST_PACKAGE

from setsolver.features.likeness import embed
from setsolver.features.models import Network, load_embedding
from setsolver.features.views import MIDDLE
from setsolver.scaling import shrunk

__all__: list[str] = []

LONG_SIDE = 1280
ENDINGS = {".jpg", ".jpeg", ".webp", ".png", ".rcc", ".zip"}
HERE = Path(__file__).parent


def read_csv(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def pictures_in(path: Path) -> Iterator[bytes]:
    """The file itself, or what a zip archive or a Qt resource file holds."""
    if path.suffix == ".zip" and zipfile.is_zipfile(path):
        with zipfile.ZipFile(path) as archive:
            yield from (archive.read(name) for name in archive.namelist())
    elif path.suffix == ".rcc":
        yield from resources_in(path.read_bytes())
    else:
        yield path.read_bytes()


def resources_in(data: bytes) -> Iterator[bytes]:
    """Pictures of a Qt resource file: each entry is preceded by its length in four bytes."""
    at = -1
    while (at := data.find(b"RIFF", at + 1)) >= 0:
        if data[at + 8 : at + 12] == b"WEBP":
            yield data[at : at + 8 + int.from_bytes(data[at + 4 : at + 8], "little")]
    at = -1
    while (at := data.find(b"\xff\xd8\xff", at + 1)) >= 0:
        length = int.from_bytes(data[at - 4 : at], "big")
        if at + length <= len(data):
            yield data[at : at + length]


def found(folder: Path, wanted: set[str]) -> dict[str, bytes]:
    files = [path for path in sorted(folder.rglob("*")) if path.suffix.lower() in ENDINGS and path.is_file()]
    named = ((hashlib.sha256(data).hexdigest()[:16], data) for path in files for data in pictures_in(path))
    return {name: data for name, data in named if name in wanted}


def preview(data: bytes) -> np.ndarray:
    with Image.open(io.BytesIO(data)) as opened:
        opened.draft("RGB", (LONG_SIDE, LONG_SIDE))
        picture = ImageOps.exif_transpose(opened).convert("RGB")
    picture.thumbnail((LONG_SIDE, LONG_SIDE), Image.Resampling.BICUBIC)
    return np.ascontiguousarray(picture)


def embeddings(data: bytes, network: Network) -> tuple[np.ndarray, np.ndarray]:
    seen = embed(parts(shrunk(preview(data), MIDDLE)), network).astype(np.float32)
    return seen[0], seen[1:].mean(axis=0)


def without_packages() -> dict[str, np.ndarray]:
    """The table as make_table.py writes it, embeddings decoded."""
    with np.load(TABLE) as data:
        table = {name: data[name] for name in data.files}
    for name in ("", "inner_"):
        code, top = table.pop(f"{name}code"), table.pop(f"{name}top")
        table[f"{name}embedding"] = (code / 255 * top) ** 2
    kept = table["source"] < FIRST_PACKAGE
    return {name: values[kept] for name, values in table.items()}


def main(folder: Path) -> None:
    cv2.setNumThreads(1)
    readings, sources = read_csv("package_readings.csv"), [row["package"] for row in read_csv("package_sources.csv")]
    data = found(folder, {row["sha256"] for row in readings})
    missing = [row for row in readings if row["sha256"] not in data]
    if missing:
        names = ", ".join(sorted({row["package"] for row in missing}))
        sys.exit(f"{len(missing)} of {len(readings)} photographs are not in {folder}; unpack there: {names}")
    network = load_embedding()
    whole, inner = zip(*(embeddings(data[row["sha256"]], network) for row in readings), strict=True)
    table = without_packages()
    code, top = coded(np.concatenate([table.pop("embedding"), np.array(whole)]))
    inner_code, inner_top = coded(np.concatenate([table.pop("inner_embedding"), np.array(inner)]))
    added = {name: [row.get(name, "") for row in readings] for name in ("scale", "second", "scale_b", "second_b")}
    added |= {name: [int(row[name] or -1) for row in readings] for name in ("people", "horizon")}
    added |= {"source": [FIRST_PACKAGE + sources.index(row["package"]) for row in readings]}
    added |= {"picture": [-1] * len(readings)}
    columns = {name: np.concatenate([values, added[name]]) for name, values in table.items()}
    np.savez_compressed(TABLE, code=code, top=top, inner_code=inner_code, inner_top=inner_top, **columns)
    print(f"{len(readings)} photographs of {len(sources)} packages added, {len(code)} in all")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
