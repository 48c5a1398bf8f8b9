"""Seconds and memory of a print at 24, 45 and 100 megapixels, beside plain decoding and encoding by libvips.

    python benchmarks/finish.py [--rounds 3] [--megapixels 24 45 100]

Makes noisy pictures of its own, prints each as large as it is (nothing gained by making it smaller) and 45 x 30 cm at
300 pixels per inch, as 16-bit TIFF, straight and levelled by a degree, and once as JPEG; the plain way decodes the same
file by libvips and writes it at its full size, as a 16-bit TIFF or as such a JPEG, on as many threads as libvips likes.
Each runs in a process of its own, under the variables with which ``finish`` starts those that make its prints; seconds
and processor seconds are the least of the rounds, after what is loaded and compiled once, for other work on the machine
only adds; times plain are those of processor seconds; memory is the peak of the process.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pyvips

from setsolver.domain.brief import ToneWish
from setsolver.domain.geometry import Box
from setsolver.domain.outcome import Correction, Placed, SetFrame, ToneRecord
from setsolver.render.save import load_profile
from setsolver.usecases.finish_print import Job, make_print
from setsolver.usecases.finish_size import Wish
from setsolver.usecases.finish_tone import Aim
from setsolver.usecases.measuring import WORKER_ENVIRONMENT

SIZES = {24: (6000, 4000), 45: (8192, 5464), 100: (12288, 8192)}
RAMP = 200


def picture(path: Path, width: int, height: int) -> None:
    field = np.random.default_rng(0).uniform(20, 235, (height // RAMP + 2, width // RAMP + 2, 3)).astype(np.float32)
    soft = pyvips.Image.new_from_array(field).resize(RAMP, kernel="cubic").crop(0, 0, width, height)
    noisy = (soft + pyvips.Image.gaussnoise(width, height, mean=0, sigma=5)).cast("uchar")
    noisy.copy(interpretation="srgb").jpegsave(str(path), Q=92)


def plain(path: Path, out: Path, kind: str) -> None:
    image = pyvips.Image.new_from_file(str(path), access="sequential")
    if kind == "jpeg":
        fitted = image.width * image.height <= 50_000_000  # as prints are written
        image.jpegsave(str(out), Q=95, subsample_mode="off", optimize_coding=fitted)
        return
    (image.cast("ushort") * 257).cast("ushort").copy(interpretation="rgb16").tiffsave(str(out))


def job(path: Path, width: int, height: int, angle: float, long_cm: float):
    box = Box(0.0301, 0.0302, 0.94, 0.94)  # room to level by a degree; on no whole pixel
    tone = ToneRecord(black=20, mid=50, white=85)
    frame = SetFrame(
        path=path.name, role="wide", crop=tuple(box), level_degrees=angle, level_cost=0, treatment="colour",
        rendition="largest", width=width, height=height, crop_width=int(box.w * width), crop_height=int(box.h * height),
        ppi=300, tone=tone, correction=Correction(black=0, mid=0, white=0), scale={},
        position=Placed(x_cm=0, y_cm=0, width_cm=long_cm, height_cm=long_cm * height / width),
    )  # fmt: skip
    aim = Aim(tone, ToneWish().slack, "colour")
    return Job(1, frame, path, False, 0, "print", "", aim, lambda: np.zeros((9, 9, 3), np.uint8), lambda _: b"")  # noqa: FBT003


def measure(path: Path, way: str, width: int, height: int, rounds: int) -> dict[str, float]:
    """Run one way in this process; print seconds and peak memory."""
    spent, cpu = [], []
    with tempfile.TemporaryDirectory(dir=path.parent) as folder:
        for number in range(rounds + 1):
            out = Path(folder) / str(number)
            out.mkdir()
            start, before = time.perf_counter(), time.process_time()
            kind, angle, file = way.split()
            if kind == "plain":
                plain(path, out / f"a.{file}", file)
            else:
                long_cm = 0.94 * width / 300 * 2.54 if kind == "full" else 45.0
                one = job(path, width, height, float(angle), long_cm)
                make_print(one, Wish(load_profile(None), format=file), out, lambda: None)
            spent.append(time.perf_counter() - start)
            cpu.append(time.process_time() - before)
            for file in out.iterdir():
                file.unlink()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6  # kilobytes on Linux
    return {"seconds": min(spent[1:]), "cpu": min(cpu[1:]), "gigabytes": peak}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--megapixels", type=int, nargs="*", default=list(SIZES))
    parser.add_argument("--one", nargs=4, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.one:
        path, way, width, height = options.one
        print(json.dumps(measure(Path(path), way, int(width), int(height), options.rounds)))
        return
    print("| megapixels | way | s | CPU s | times plain | GB |\n| --- | --- | --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory() as folder:
        for megapixels in options.megapixels:
            width, height = SIZES[megapixels]
            path = Path(folder) / f"{megapixels}.jpg"
            picture(path, width, height)
            base = {}
            for way in (
                "plain 0 tiff", "full 0 tiff", "full 1 tiff", "45cm 0 tiff", "45cm 1 tiff", "plain 0 jpeg",
                "full 0 jpeg",
            ):  # fmt: skip
                command = [sys.executable, __file__, "--rounds", str(options.rounds), "--one", str(path), way]
                done = subprocess.run(
                    [*command, str(width), str(height)],
                    check=True,
                    capture_output=True,
                    text=True,
                    env={**os.environ, **WORKER_ENVIRONMENT},
                )
                found = json.loads(done.stdout)
                base.setdefault(way.split()[2], found["cpu"])
                print(
                    f"| {megapixels} | {way} | {found['seconds']:.2f} | {found['cpu']:.2f} | "
                    f"{found['cpu'] / base[way.split()[2]]:.1f} | {found['gigabytes']:.2f} |",
                    flush=True,
                )
            path.unlink()


if __name__ == "__main__":
    main()
