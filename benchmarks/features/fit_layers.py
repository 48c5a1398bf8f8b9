"""Find the axes on which what CLIP's inner layers say is kept, and write them.

    python benchmarks/features/fit_layers.py FOLDER ...

Of every JPEG below the folders the class tokens after three layers are standardised, made of length 1 and turned onto
their 128 principal axes. No reading is asked for: the axes say where photographs differ, not which is better. Whoever
writes other axes raises the version of ``layers`` in domain/measures.py.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from joblib import Parallel, delayed
from PIL import Image, ImageOps

from setsolver.domain.measures import LAYERS_SIZE
from setsolver.features.clip import clip_of
from setsolver.features.layer_axes import LayerAxes
from setsolver.features.models import LAYERS_FILE, ClipNetwork, load_clip
from setsolver.scaling import shrunk

OUT = Path(__file__).parents[2] / "setsolver" / "models" / LAYERS_FILE


def network(made: list[ClipNetwork] = []) -> ClipNetwork:  # noqa: B006 - one for each process
    if not made:
        made.append(load_clip())
    return made[0]


def classes_of(file: Path) -> np.ndarray:
    """Class tokens of a picture as a scan sees it, float32[3, 768]."""
    with Image.open(file) as opened:
        rgb = np.ascontiguousarray(ImageOps.exif_transpose(opened).convert("RGB"))
    return clip_of(shrunk(rgb, 1280), network()).classes


def axes_of(classes: np.ndarray) -> dict[str, np.ndarray]:
    """What ``LayerAxes.of_arrays`` reads, of tokens float[n, 3, 768]."""
    mean, deviation = classes.mean(axis=0), classes.std(axis=0) + 1e-6
    rows = LayerAxes(mean, deviation, np.zeros(1), np.zeros((1, 1))).rows(classes).astype(np.float64)
    centre = rows.mean(axis=0)
    spread, turn = np.linalg.eigh((rows - centre).T @ (rows - centre))
    best = np.argsort(-spread)[:LAYERS_SIZE]
    print(f"{len(rows)} photographs; {LAYERS_SIZE} axes hold {spread[best].sum() / spread.sum():.1%} of their spread")
    plain = {"mean": mean, "deviation": deviation, "centre": centre}
    return {name: part.astype(np.float32) for name, part in plain.items()} | {"axes": turn[:, best].astype(np.float16)}


def main(folders: list[Path]) -> None:
    files = sorted(file for folder in folders for file in folder.rglob("*.jpg"))
    if not files:
        sys.exit(f"no JPEG below {', '.join(map(str, folders)) or 'no folder'}; name folders of photographs")
    np.savez(OUT, **axes_of(np.array(Parallel(n_jobs=2)(delayed(classes_of)(file) for file in files))))
    print(f"wrote {OUT.name}, {OUT.stat().st_size / 1e3:.0f} kB")


if __name__ == "__main__":
    main([Path(name) for name in sys.argv[1:]])
