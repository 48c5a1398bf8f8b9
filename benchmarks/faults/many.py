"""Very many files: scanned, and scanned again, each in a process of its own; originals are not touched.

``python benchmarks/faults/many.py 20000 100000``
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from PIL import Image

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[2])]

from checks import NotKept, index_is_sound  # noqa: E402

from setsolver.usecases.scan import scan  # noqa: E402
from tests.catalog.fakes import measurer  # noqa: E402 - measuring is not what is tried here


def many(count: int) -> dict[str, float]:
    """Scan very many files, and again, each in a process of its own, so that each has a peak of memory of its own."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made) / "shoot"
        picture = np.full((32, 48, 3), 90, np.uint8)
        for number in range(count):
            part = folder / f"{number // 1000:03d}"
            if number % 1000 == 0:
                part.mkdir(parents=True)
            picture[0, 0] = (
                number % 251,
                number // 251 % 251,
                1 + number // 63001,
            )  # never what the fake measuring fears
            Image.fromarray(picture).save(part / f"{number:06d}.png", compress_level=1)
        before = _stats(folder)
        found: dict[str, float] = {"files": count}
        for what in ("first", "again"):
            words = [sys.executable, __file__, "--scan", str(folder)]
            done = subprocess.run(words, capture_output=True, text=True, check=False)
            if done.returncode:
                raise NotKept(f"{count} files, {what}: {done.stderr}")
            told = json.loads(done.stdout)
            if told.pop("frames") != count or told.pop("refused"):
                raise NotKept(f"{count} files, {what}: {done.stdout}")
            found |= {f"{what}: {name}": value for name, value in told.items()}
        index_is_sound(folder)
        if _stats(folder) != before:
            raise NotKept(f"{count} files: originals were touched")
        found["index, MB"] = round(sum(f.stat().st_size for f in (folder / ".setsolver").iterdir()) / 1e6)
        return found


def _stats(folder: Path) -> list[tuple[str, int, int]]:
    """Return names, sizes and times of all originals: to read 100,000 of them twice would take longer than the scan."""
    files = (one for part in folder.glob("[0-9]*") for one in part.iterdir())
    return sorted((one.name, one.stat().st_size, one.stat().st_mtime_ns) for one in files)


def scan_once(folder: Path) -> dict[str, float]:
    """Scan a folder, measuring by the fake; return what it took."""
    start = time.monotonic()
    report = scan(folder, factory=measurer, workers=2, quick=True)
    spent = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    own, workers = (one.ru_utime + one.ru_stime for one in spent)
    return {
        "frames": report.frames,
        "refused": len(report.refused),
        "seconds": round(time.monotonic() - start, 1),
        "processor seconds": round(own, 1),
        "processor seconds of workers": round(workers, 1),
        "peak, MiB": round(spent[0].ru_maxrss / 1024),
        "peak of a worker, MiB": round(spent[1].ru_maxrss / 1024),
    }


def main() -> None:
    """Try very many files, once for each number."""
    asked = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    asked.add_argument("counts", type=int, nargs="*", help="how many files")
    asked.add_argument("--scan", type=Path, help=argparse.SUPPRESS)
    given = asked.parse_args()
    if given.scan:
        print(json.dumps(scan_once(given.scan)))
    for count in given.counts:
        for name, value in many(count).items():
            print(f"| {name} | {value} |", flush=True)


if __name__ == "__main__":
    main()
