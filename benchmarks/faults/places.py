"""Bad places: a disk that fills up, one that may only be read, nobody's home, odd names, very many files.

Needs Linux, and root for the disks (a tmpfs is mounted in a temporary folder and taken away again). Ends with an
error at the first thing that is not kept.

``python benchmarks/faults/places.py --many 20000``
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import numpy as np
from PIL import Image

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[2])]

from checks import NotKept, index_is_sound, no_part_is_left, sets_are_whole, the_same  # noqa: E402

from setsolver.usecases.scan import scan  # noqa: E402
from tests.catalog.fakes import measurer  # noqa: E402 - measuring is not what is tried here
from tests.cli.shoot import BRIEF, draw  # noqa: E402

_ODD = (
    b"new\nline.png",
    b"\x1b[2Jescape.png",
    b"-dash.png",
    b"back\\slash.png",
    b"  spaces  .png",
    "zażółć 窯 \u202e.png".encode(),
    b"not utf-8 \xff\xfe.png",
    b"quote'\".png",
    b"#2.png",
    b"%s{0}$HOME.png",
    b"a" * 251 + b".png",
    b".hidden.png",
    b"dots...png",
    b"CON.png",
)


@contextmanager
def _disk(kilobytes: int) -> Iterator[Path]:
    """Mount a disk of so many kilobytes."""
    with tempfile.TemporaryDirectory() as made:
        subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={kilobytes}k", "tmpfs", made], check=True)
        try:
            yield Path(made)
        finally:
            subprocess.run(["umount", "-l", made], check=True)


def _run(where: Path, *words: object, codes: tuple[int, ...] = (0, 1, 2), **environment: str) -> int:
    """Run a verb; it must end with a code of ours, and say what it says in sentences."""
    env = {**os.environ, **environment}
    env = {name: value for name, value in env.items() if value}
    done = subprocess.run(
        [sys.executable, "-m", "setsolver", *map(str, words)],
        cwd=where,
        capture_output=True,
        text=True,
        errors="replace",
        check=False,
        timeout=600,
        env=env,
    )
    if done.returncode not in codes or "Traceback" in done.stderr or (done.returncode == 2 and not done.stderr.strip()):
        raise NotKept(f"{words} ends with {done.returncode}: {done.stderr}{done.stdout[-500:]}")
    return done.returncode


def _shoot(folder: Path, count: int = 6) -> Path:
    folder.mkdir()
    for number in range(count):
        draw(number, (300, 200)).save(folder / f"{number:04d}.jpg", quality=90)
    return folder


def full_disk(brief: Path) -> dict[str, int]:
    """Scan and suggest on disks from hardly any to enough room."""
    ends: dict[str, int] = {}
    for room in (300, 400, 500, 600, 700, 900, 1200, 2000):
        with _disk(room) as disk:
            shoot = _shoot(disk / "shoot")
            before = the_same(shoot)
            for words in (
                ("scan", shoot),
                ("frames", shoot, "--set", "0001.jpg", "kind=photograph"),
                ("suggest", shoot, "--brief", brief, "--no-open", "--save-problem", disk / "problem.npz"),
                ("brief", "new", disk / "new.toml"),
            ):
                code = _run(disk, *words)
                ends[f"{words[0]} ends with {code}"] = ends.get(f"{words[0]} ends with {code}", 0) + 1
                the_same(shoot, before)
            index_is_sound(shoot)
            sets_are_whole(disk / "sets")
            no_part_is_left(disk)
    return ends


def read_only(brief: Path) -> dict[str, int]:
    """Scan and suggest a shoot on a disk that may only be read, with a home and without."""
    ends = {}
    with _disk(20_000) as disk, tempfile.TemporaryDirectory() as elsewhere:
        shoot = _shoot(disk / "shoot")
        before = the_same(shoot)
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
        at = Path(elsewhere)
        home = {"HOME": elsewhere, "XDG_CACHE_HOME": ""}
        ends["with a home"] = _run(at, "scan", shoot, codes=(0,), **home)
        _run(at, "frames", shoot, "--set", "0001.jpg", "kind=photograph", codes=(0,), **home)
        _run(at, "suggest", shoot, "--brief", brief, "--no-open", **home)
        ends["with no home that may be written"] = _run(
            at, "scan", shoot, codes=(2,), HOME="/proc/nowhere", XDG_CACHE_HOME=""
        )
        the_same(shoot, before)
    return ends


def odd_names() -> dict[str, int]:
    """Scan files of odd names, and show them on a terminal that takes everything at its word."""
    with tempfile.TemporaryDirectory() as made:
        folder = os.path.join(os.fsencode(made), b"shoot")  # noqa: PTH118 - bytes
        os.mkdir(folder)  # noqa: PTH102
        plain = Path(made) / "plain.png"
        Image.fromarray(np.full((40, 60, 3), 90, np.uint8)).save(plain)
        for name in _ODD:
            with open(os.path.join(folder, name), "wb") as file:  # noqa: PTH118, PTH123 - bytes
                file.write(plain.read_bytes())
        shoot = Path(os.fsdecode(folder))
        report = scan(shoot, factory=measurer, workers=2)
        hidden = sum(name.startswith(b".") for name in _ODD)
        if report.frames + len(report.refused) != len(_ODD) - hidden:
            raise NotKept(f"{len(_ODD)} odd names: {report}")
        _run(Path(made), "frames", shoot, "--csv")
        return {"odd names": len(_ODD), "frames": report.frames, "refused": len(report.refused), "hidden": hidden}


def many(count: int) -> dict[str, float]:
    """Scan very many files, and again."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made) / "shoot"
        picture = np.full((32, 48, 3), 90, np.uint8)
        for number in range(count):
            part = folder / f"{number // 1000:03d}"
            if number % 1000 == 0:
                part.mkdir(parents=True)
            picture[0, 0] = (number % 251, number // 251 % 251, number // 63001)
            Image.fromarray(picture).save(part / f"{number:06d}.png", compress_level=1)
        found: dict[str, float] = {"files": count}
        for what in ("first", "again"):
            start, spent = time.monotonic(), time.process_time()
            report = scan(folder, factory=measurer, workers=2)
            found[f"{what}: seconds"] = round(time.monotonic() - start, 1)
            found[f"{what}: processor seconds of the parent"] = round(time.process_time() - spent, 1)
            if report.frames != count or report.refused:
                raise NotKept(f"{count} files: {report.frames} frames, {report.refused[:3]}")
        index_is_sound(folder)
        found["largest parent, MiB"] = round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
        return found


def main() -> None:
    """Try all places, and very many files where asked for."""
    asked = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    asked.add_argument("--many", type=int, nargs="*", default=[], help="how many files, once for each number")
    asked.add_argument("--no-places", action="store_true")
    given = asked.parse_args()
    with tempfile.TemporaryDirectory() as made:
        brief = Path(made) / "any-three.toml"
        brief.write_text(BRIEF, encoding="utf-8")
        if not given.no_places:
            print("| odd names |", odd_names(), flush=True)
            print("| full disk |", full_disk(brief), flush=True)
            print("| read only |", read_only(brief), flush=True)
    for count in given.many:
        with suppress(KeyboardInterrupt):
            print("| many |", many(count), flush=True)


if __name__ == "__main__":
    main()
