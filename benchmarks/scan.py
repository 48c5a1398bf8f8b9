"""Speed and memory of scans, each beside what it is compared with, in one run.

    python benchmarks/scan.py ratio [FOLDER] [--workers 2]   scan against bare scaled decoding of the same files
    python benchmarks/scan.py again [--frames 10000]          `setsolver scan` of unchanged frames
    python benchmarks/scan.py memory [--frames 1000 10000] [--real]   peak memory of all processes by catalog size

``ratio`` without a folder makes JPEGs of 12, 24 and 45 megapixels, without and with embedded previews, each linked
several times; of made-up pictures, or with ``--photos`` of those of a folder, enlarged. Bare decoding is the fastest
way known here, plain the common one (``camera_files``). CPU seconds are those of all processes: on a machine that does
other work too, wall seconds tell of that work.
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import cv2
import numpy as np
from camera_files import bare, camera_file, imagined, plain, with_preview
from joblib.externals.loky import ProcessPoolExecutor
from pretended import measurer

sys.path.insert(0, str(Path(__file__).parents[1]))

from setsolver.catalog.listing import listing
from setsolver.usecases.measuring import features
from setsolver.usecases.scan import scan


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    verbs = parser.add_subparsers(dest="verb", required=True)
    ratio = verbs.add_parser("ratio")
    ratio.add_argument("folder", nargs="?", type=Path)
    ratio.add_argument("--photos", type=Path, help="enlarge the photographs of a folder instead of made-up pictures")
    ratio.add_argument("--workers", type=int, default=os.cpu_count())
    ratio.add_argument("--megapixels", type=float, nargs="+", default=[12, 24, 45])
    ratio.add_argument("--grain", type=float, default=3.0, help="1 = usual quality, 3 = the finest")
    ratio.add_argument("--count", type=int, default=6, help="different files of each size")
    ratio.add_argument("--links", type=int, default=8, help="names of each file")
    ratio.add_argument("--rounds", type=int, default=3)
    unchanged = verbs.add_parser("again")
    unchanged.add_argument("--frames", type=int, default=10_000)
    unchanged.add_argument("--rounds", type=int, default=3)
    for name in ("memory", "scan-links"):  # the second is one size of the first, in a process of its own
        memory = verbs.add_parser(name)
        memory.add_argument("--frames", type=int, nargs="+", default=[1_000, 10_000, 100_000])
        memory.add_argument("--real", action="store_true", help="measure by the real features, not by random numbers")
        memory.add_argument("--workers", type=int, default=os.cpu_count())
    options = parser.parse_args()
    jobs = {"ratio": compare, "again": again, "memory": memories, "scan-links": scan_links}
    jobs[options.verb](options)


def compare(options: argparse.Namespace) -> None:
    print("| files | MB each | bare s (CPU) | plain s (CPU) | scan s (CPU) | scan / bare | of CPU | / plain | of CPU |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    if options.folder:
        print(ratio_row(options.folder.name, options.folder, options.folder, options))
        return
    with tempfile.TemporaryDirectory() as made:
        for megapixels in options.megapixels:
            without, within = (Path(made) / f"{megapixels:g}-{kind}" for kind in ("plain", "preview"))
            make_photographs(without, within, megapixels, options)
            print(ratio_row(f"{megapixels:g} megapixels", without, without, options), flush=True)
            print(ratio_row(f"{megapixels:g} megapixels, with preview", within, without, options), flush=True)


def ratio_row(name: str, folder: Path, decoded: Path, options: argparse.Namespace) -> str:
    """Decode and scan by turns; the best of the rounds stands for each.

    decoded : the files that bare decoding reads: the same pictures without previews.
    """
    files = [str(listed.file) for listed in listing(decoded).frames]
    scanned = [str(listed.file) for listed in listing(folder).frames]
    jobs = [
        lambda: decode_all(files, bare, options.workers),
        lambda: decode_all(files, plain, options.workers),
        lambda: scan(folder, workers=options.workers, force=True),
    ]
    runs = [[timed(job) for job in jobs] for _ in range(options.rounds)]
    *others, (wall, cpu) = (tuple(map(min, zip(*kind, strict=True))) for kind in zip(*runs, strict=True))
    seconds = "".join(f" {one:.1f} ({of_cpu:.1f}) |" for one, of_cpu in [*others, (wall, cpu)])
    ratios = "".join(f" {wall / one:.2f} | {cpu / of_cpu:.2f} |" for one, of_cpu in others)
    return f"| {len(files)} of {name} | {megabytes(scanned) / len(files):.1f} |{seconds}{ratios}"


def make_photographs(without: Path, within: Path, megapixels: float, options: argparse.Namespace) -> None:
    """Write ``count`` JPEGs and the same with previews, and link each under several names."""
    random = np.random.default_rng(0)
    for folder in (without, within):
        folder.mkdir()
    photographs = sorted(options.photos.glob("*.jpg")) if options.photos else []
    for number in range(len(photographs) or options.count):
        picture = cv2.imread(str(photographs[number]))[..., ::-1] if photographs else imagined(random)
        code = camera_file(np.ascontiguousarray(picture), megapixels, random, options.grain)
        for folder, data in ((without, code), (within, with_preview(code))):
            first = folder / f"{number:02d}-00.jpg"
            first.write_bytes(data)
            for link in range(1, options.links):
                os.link(first, folder / f"{number:02d}-{link:02d}.jpg")


def decode_all(files: list[str], way: Callable[[bytes], np.ndarray], workers: int) -> None:
    with ProcessPoolExecutor(workers) as pool:  # of the scan's own kind: forked ones can lock up beside its threads
        list(pool.map(partial(decode, way=way), files, chunksize=4))


def decode(file: str, way: Callable[[bytes], np.ndarray]) -> None:
    cv2.setNumThreads(1)
    way(Path(file).read_bytes())


def megabytes(files: list[str]) -> float:
    return sum(Path(file).stat().st_size for file in files) / 1e6


def timed(job: object) -> tuple[float, float]:
    wall, cpu = time.perf_counter(), cpu_seconds()
    job()  # type: ignore[operator]
    return time.perf_counter() - wall, cpu_seconds() - cpu


def cpu_seconds() -> float:
    parts = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(part.ru_utime + part.ru_stime for part in parts)


def make_links(folder: Path, count: int, different: int = 8) -> None:
    """Fill a folder with links to a few small files, so that only the numbers are many."""
    for number in range(different):
        noise = np.random.default_rng(number).integers(0, 255, (48, 64, 3), dtype=np.uint8)
        cv2.imwrite(str(folder / f"source-{number}.png"), noise)
    for number in range(different, count):
        os.link(folder / f"source-{number % different}.png", folder / f"frame-{number:06d}.png")


def make_archive(folder: Path, count: int) -> None:
    """Fill folders of years, shoots and cameras with links to a few small files under a camera's names."""
    sources: list[Path] = []
    for number in range(count):
        shoot, frame = divmod(number, 125)
        where = folder / f"{2024 + shoot % 6}" / f"{shoot % 12 + 1:02d}-{shoot:02d} kiln and plain" / "first camera"
        where.mkdir(parents=True, exist_ok=True)
        file = where / f"DSC_{frame + 1:04d}.png"
        if number < 8:
            noise = np.random.default_rng(number).integers(0, 255, (48, 64, 3), dtype=np.uint8)
            cv2.imwrite(str(file), noise)
            sources.append(file)
        else:
            os.link(sources[number % 8], file)


def again(options: argparse.Namespace) -> None:
    """Scan by the command, interpreter start and all, what was scanned before."""
    command = [sys.executable, "-m", "setsolver", "scan"]
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made) / "archive"
        make_archive(folder, options.frames)
        wall, cpu = timed(lambda: scan(folder, workers=0, factory=measurer))
        print(f"{options.frames} frames, first scan (measuring nothing): {wall:.2f} s wall, {cpu:.2f} s CPU")
        for _ in range(options.rounds):
            wall, cpu = timed(lambda: subprocess.run([*command, str(folder)], check=True, capture_output=True))
            print(f"{options.frames} frames, setsolver scan again: {wall:.2f} s wall, {cpu:.2f} s CPU")


def memories(options: argparse.Namespace) -> None:
    print("| frames | seconds | parent, before | while measuring | with grouping | largest worker |")
    print("| --- | --- | --- | --- | --- | --- |")
    for count in options.frames:
        command = [sys.executable, __file__, "scan-links", "--frames", str(count), "--workers", str(options.workers)]
        if options.real:
            command.append("--real")
        print(subprocess.run(command, check=True, capture_output=True, text=True).stdout.strip(), flush=True)


def scan_links(options: argparse.Namespace) -> None:
    (count,) = options.frames
    with tempfile.TemporaryDirectory() as made:
        make_links(Path(made), count, different=count if options.real else 8)  # alike ones would all be pairs
        peak: list[float] = []
        before = peak_megabytes(resource.RUSAGE_SELF)

        def tell(what: str, done: int, total: int) -> None:
            if what == "measuring" and done == total:
                peak.append(peak_megabytes(resource.RUSAGE_SELF))

        start = time.perf_counter()
        factory = features if options.real else measurer
        scan(Path(made), workers=options.workers, factory=factory, progress=tell)
        seconds = time.perf_counter() - start
        after, worker = (peak_megabytes(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
        print(f"| {count:,} | {seconds:.0f} | {before:.0f} MB | {peak[-1]:.0f} MB | {after:.0f} MB | {worker:.0f} MB |")


def peak_megabytes(who: int) -> float:
    return resource.getrusage(who).ru_maxrss / 1024


if __name__ == "__main__":
    main()
