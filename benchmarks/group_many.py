"""Time and memory of grouping catalogs of many frames, each in a process of its own.

    python benchmarks/group_many.py [--frames 1000 10000 100000] [--series 0]

Each index is written first, by another process: embeddings mixed from the training table, in the place of what CLIP
says too, random hashes, a frame every twenty seconds. One frame in ten is a second camera's copy of the one before, its
clock an hour ahead; one in ten is a copy of a frame taken up to a day earlier. ``--series`` : so many frames more, of
one view from a tripod. Brute force on 5,000 is a test (tests/catalog/test_neighbours.py).
"""

from __future__ import annotations

import argparse
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
from pretended import embeddings_of_photographs

sys.path.insert(0, str(Path(__file__).parents[1]))

from setsolver.catalog.records import Known, Measured
from setsolver.catalog.store import Store
from setsolver.domain.frame import Shot
from setsolver.domain.measures import CLIP_SIZE, Clip
from setsolver.usecases.grouping import regroup
from tests.rules.builders import make_frame

BLOCK = 5000
CLIP_PARTS = tuple(range(size) for size in (CLIP_SIZE[0], CLIP_SIZE[1], CLIP_SIZE[1]))
VERSION = "benchmark"
START = datetime(2031, 5, 1, 6)  # noqa: DTZ001 - cameras write local time


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--frames", type=int, nargs="+", default=[1_000, 10_000, 100_000])
    parser.add_argument("--series", type=int, default=0)
    parser.add_argument("--write", type=Path, help=argparse.SUPPRESS)
    parser.add_argument("--group", type=Path, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.write:
        write(options.write, options.frames[0], options.series)
    elif options.group:
        print(grouped(options.group), flush=True)
    else:
        print("| frames | wall s | CPU s | near-duplicates | series | clocks | before, MB | peak, MB |")
        print("| --- | --- | --- | --- | --- | --- | --- | --- |")
        for count in options.frames:
            with tempfile.TemporaryDirectory() as made:
                file = Path(made) / "index.db"
                again = [sys.executable, __file__, "--frames", str(count), "--series", str(options.series)]
                subprocess.run([*again, "--write", str(file)], check=True)
                subprocess.run([*again, "--group", str(file)], check=True)


def write(file: Path, count: int, series: int) -> None:
    rng = np.random.default_rng(0)
    table = embeddings_of_photographs()
    measures = make_frame(0).measures
    with Store(file, VERSION) as store:
        for start in range(0, count + series, BLOCK):
            size = min(BLOCK, count + series - start)
            looks = mixed(rng, table, size) if start + size <= count else some_of_one(rng, table, size)
            rows = []
            for number, (embedding, phash) in enumerate(looks, start):
                known = Known(1, 1, "", VERSION, b"digest")
                spoken = Clip(*(embedding[: len(part)] for part in CLIP_PARTS))
                look = replace(measures, embedding=embedding, phash=np.uint64(phash), clip=spoken)
                rows.append(Measured(f"day/{number:07d}.jpg", known, 6000, 4000, shot(number), "", look))
            store.write(rows)


def shot(number: int) -> Shot:
    second = number % 10 == 1
    time = START + timedelta(seconds=20 * number - 18 * second, hours=second)
    return Shot(time=time, camera="Clay Two" if second else "Clay One")


def mixed(rng: np.random.Generator, table: np.ndarray, count: int) -> Iterator[tuple[np.ndarray, int]]:
    """Yield embeddings and hashes, copies among them."""
    parts = table[rng.integers(0, len(table), (count, 3))]
    looks = np.einsum("nk,nkd->nd", rng.dirichlet(np.ones(3), count).astype(np.float32), parts)
    looks *= np.exp(rng.normal(0, 0.5, looks.shape)).astype(np.float32)
    hashes = rng.integers(0, 2**63, count).astype(np.uint64)
    rows = np.arange(count)
    for copies, originals in (
        (rows[1::10], rows[:-1:10]),
        (rows[5::10], rng.integers(0, np.maximum(rows[5::10], 1))),
    ):
        looks[copies] = looks[originals] * noise(rng, (len(copies), looks.shape[1]), 0.2)
        hashes[copies] = hashes[originals] ^ np.uint64(0b10001000100)
    yield from zip(looks.astype(np.float16), hashes.tolist(), strict=True)


def some_of_one(rng: np.random.Generator, table: np.ndarray, count: int) -> Iterator[tuple[np.ndarray, int]]:
    """Yield one view as a camera on a tripod sees it."""
    for look in table[7] * noise(rng, (count, table.shape[1]), 0.1):
        yield look.astype(np.float16), 0x0F0F_1234_5678_9ABC ^ 1 << int(rng.integers(0, 60))


def noise(rng: np.random.Generator, shape: tuple[int, int], much: float) -> np.ndarray:
    return np.exp(rng.normal(0, much, shape)).astype(np.float32)


def grouped(file: Path) -> str:
    with Store(file, VERSION) as store:
        before = peak_megabytes()
        wall, cpu = time.perf_counter(), time.process_time()
        remarks = regroup(store, lambda *_: None)
        wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
        peak = peak_megabytes()
        return (
            f"| {len(store.ids()):,} | {wall:.1f} | {cpu:.1f} | {len(store.pairs()):,} |"
            f" {sum(map(len, store.series())):,} | {len(remarks)} | {before:.0f} | {peak:.0f} |"
        )


def peak_megabytes() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


if __name__ == "__main__":
    main()
