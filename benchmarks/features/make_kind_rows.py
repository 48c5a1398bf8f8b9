"""Make up graphics, embed them and the demo shoot, and put both among the rows that fit_kind.py fits to.

    python benchmarks/features/make_kind_rows.py PHOTOS [--sheet FILE]

PHOTOS is as in the README: some of its photographs are turned into pictures that no camera took, and their rows name
the photograph, so that they are left out with its source. The demo shoot is rendered, and stands for photographs. Rows
of both that were there are replaced. No picture is kept; ``--sheet`` draws them for looking at.
"""

from __future__ import annotations

import argparse
import csv
from collections.abc import Iterator
from pathlib import Path

import cv2
import numpy as np
from made_up_graphics import DOCUMENTS, FROM_PHOTOGRAPHS, SCREENS
from photographs import labels, read
from sheets import Panel, save_sheets

from setsolver.catalog.reader import read as read_file
from setsolver.features.clip import clip_of
from setsolver.features.models import load_clip

HERE = Path(__file__).parent
SOURCE, DEMO = "made_up_graphics.py", "demo_catalog"
EACH, LONG_SIDE = 30, 900


def made(photos: Path) -> Iterator[tuple[str, str, str, np.ndarray]]:
    """Name, kind, name of the photograph that it is made from ("" where from none), and picture, of every graphic."""
    random = np.random.default_rng(0)
    for kind, makers in (("document", DOCUMENTS), ("screen", SCREENS)):
        for maker in makers:
            for k in range(EACH):
                yield f"{maker.__name__}{k:02d}", kind, "", maker(random)
    real = [name for name, row in labels(photos).items() if "none" not in {row["scale_a"], row["scale_b"]}]
    for maker in FROM_PHOTOGRAPHS:
        for k, name in enumerate(random.choice(real, EACH, replace=False)):
            rgb = read(photos, str(name))
            factor = LONG_SIDE / max(rgb.shape)
            small = cv2.resize(rgb, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
            yield f"{maker.__name__}{k:02d}", "screen", str(name), maker(small, random)
    for file in sorted((HERE.parents[1] / DEMO).glob("[123]-*/*.jpg")):
        yield f"{DEMO}{file.stem}", "photograph", "", read_file(file).rgb


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("photos", type=Path)
    options.add_argument("--sheet", type=Path)
    given = options.parse_args()
    cv2.setNumThreads(1)
    clip, rows, embeddings, panels = load_clip(), [], [], []
    for name, kind, photograph, picture in made(given.photos):
        embeddings.append(clip_of(np.ascontiguousarray(picture), clip).embedding)
        rows.append(
            {
                "id": name,
                "kind": kind,
                "source": DEMO if kind == "photograph" else SOURCE,
                "licence": "Apache-2.0",
                "file": photograph,
                "sha256": "",
            }
        )
        panels.append(Panel(picture, name))
    with (HERE / "kind_pictures.csv").open(encoding="utf-8", newline="") as file:
        table = csv.DictReader(file)
        before, fields = list(table), table.fieldnames
    kept = [row["source"] not in (SOURCE, DEMO) for row in before]
    with (HERE / "kind_pictures.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, fields, lineterminator="\n")
        writer.writeheader()
        writer.writerows([row for row, stays in zip(before, kept, strict=True) if stays] + rows)
    with np.load(HERE / "kind_table.npz") as arrays:
        old = dict(arrays)
    clips = np.concatenate([old["clip"][kept], np.array(embeddings, old["clip"].dtype)])
    names = np.concatenate([old["id"][kept], [row["id"] for row in rows]])
    np.savez_compressed(HERE / "kind_table.npz", **{**old, "clip": clips, "id": names})
    print(f"{len(rows)} made-up pictures in kind_table.npz and kind_pictures.csv")
    if given.sheet:
        save_sheets(given.sheet, "graphics", [panels[k : k + 10] for k in range(0, len(panels), 10)], 24)


if __name__ == "__main__":
    main()
