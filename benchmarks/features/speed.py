"""What measuring costs beside bare scaled decoding, in processor time on one core.

    python benchmarks/features/speed.py PHOTOS [--step 60]

Photographs are enlarged to camera size with two kinds of grain. "Bare" is the fastest way known here to the 1280 pixels
that are measured: the file's bytes in memory, decoded by libjpeg-turbo at 1/2 or 1/4, then shrunk in one bilinear
step. "Plain" is the common way: Pillow at the same scale, then area averaging. "Read" is what a scan does with the
file: content hash, metadata, the same decoding. Everything runs under the variables that a scan's workers start with.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import cv2
import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from camera_files import bare, camera_file, plain, with_preview
from photographs import some

from setsolver.catalog.reader import content_hash, read
from setsolver.domain.measures import Measures
from setsolver.domain.origin import later, origins
from setsolver.features.measure import measure
from setsolver.features.models import Models
from setsolver.usecases.measuring import WORKER_ENVIRONMENT

REPEATS = 3
KINDS = {"usual": 1.0, "finest": 3.0}


def scanned(file: Path) -> np.ndarray:
    content_hash(file)
    return read(file).rgb


def cost(task: Callable[[], object]) -> float:
    """Least processor time of a task, in milliseconds."""
    times = []
    for _ in range(REPEATS):
        start = time.process_time()
        task()
        times.append(time.process_time() - start)
    return min(times) * 1e3


def measured(code: bytes, ways: list[float], folder: Path, models: Models) -> list[float]:
    """Megabytes, reading, measuring without and with CLIP, and each sum over plain and over bare decoding."""
    file = folder / "frame.jpg"
    file.write_bytes(code)
    small = scanned(file)
    reading = cost(lambda: scanned(file))
    some_of_it = (origins(Measures).keys() - later(Measures), None)
    work = [cost(lambda names=names: measure(small, models=models, names=names)) for names in some_of_it]
    return [len(code) / 1e6, reading, *(part for ms in work for part in (ms, *((reading + ms) / one for one in ways)))]


def rows(photos: Path, step: int, folder: Path, models: Models) -> Iterator[tuple[str, np.ndarray]]:
    random = np.random.default_rng(0)
    for megapixels in (12, 24, 45):
        for kind, grain in KINDS.items():
            without, within = [], []
            for _, rgb in some(photos, step):
                code = camera_file(rgb, megapixels, random, grain)
                ways = [cost(lambda code=code: plain(code)), cost(lambda code=code: bare(code))]
                without.append(ways + measured(code, ways, folder, models))
                within.append(ways + measured(with_preview(code), ways, folder, models))
            yield f"{megapixels}, {kind}", np.mean(without, axis=0)
            yield f"{megapixels}, {kind}, with preview", np.mean(within, axis=0)


def main() -> None:
    if any(os.environ.get(name) != value for name, value in WORKER_ENVIRONMENT.items()):
        os.execve(sys.executable, [sys.executable, *sys.argv], os.environ | WORKER_ENVIRONMENT)
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("photos", type=Path)
    parser.add_argument("--step", type=int, default=60, help="take every so many photographs")
    options = parser.parse_args()
    cv2.setNumThreads(1)
    models = Models.load()
    print(
        "| megapixels | MB | plain ms | bare ms | read ms | quick ms | / plain | / bare | all ms | / plain | / bare |"
    )
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory() as made:
        for name, (slow, fast, size, *rest) in rows(options.photos, options.step, Path(made), models):
            cells = [
                f"{size:.1f}",
                f"{slow:.0f}",
                f"{fast:.0f}",
                "{:.0f} | {:.0f} | {:.2f} | {:.2f} | {:.0f} | {:.2f} | {:.2f}".format(*rest),
            ]
            print(f"| {name} | {' | '.join(cells)} |", flush=True)


if __name__ == "__main__":
    main()
