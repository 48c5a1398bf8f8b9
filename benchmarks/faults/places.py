"""Bad places: a disk that fills up, one that may only be read, nobody's home, odd names.

Needs Linux, and root for the disks. Ends with an error at the first thing that is not kept.

``python benchmarks/faults/places.py``, or ``--only full``
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

import numpy as np
from PIL import Image

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[2])]

from checks import NotKept, index_is_sound, the_same  # noqa: E402
from disks import drawn, filling_disk, full_disk, mounted, run  # noqa: E402

from setsolver.usecases.scan import scan  # noqa: E402
from tests.catalog.fakes import measurer  # noqa: E402 - measuring is not what is tried here
from tests.cli.shoot import BRIEF  # noqa: E402

_NUMBER = 54_321
"""Of a user and a group that nobody has an entry for."""
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


def read_only(brief: Path) -> dict[str, int]:
    """Scan and suggest a shoot on a disk that may only be read, with a home and without."""
    ends = {}
    with mounted(20_000) as archive, tempfile.TemporaryDirectory() as elsewhere:
        shoot = drawn(archive / "shoot")
        before = the_same(shoot)
        subprocess.run(["mount", "-o", "remount,ro", str(archive)], check=True)
        at = Path(elsewhere)
        home = {"HOME": elsewhere, "XDG_CACHE_HOME": ""}
        ends["with a home"] = run(at, "scan", shoot, codes=(0,), **home)
        run(at, "frames", shoot, "--set", "0001.jpg", "kind=photograph", codes=(0,), **home)
        run(at, "suggest", shoot, "--brief", brief, "--no-open", **home)
        ends["with no home that may be written"] = run(
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
        run(Path(made), "frames", shoot, "--csv")
        return {"odd names": len(_ODD), "frames": report.frames, "refused": len(report.refused), "hidden": hidden}


@contextmanager
def closed_package() -> Iterator[Path]:
    """Mount the package so that it may only be read; yield the folder that it lies in."""
    with tempfile.TemporaryDirectory() as made:
        place = Path(made) / "setsolver"
        place.mkdir()
        subprocess.run(["mount", "--bind", str(Path(__file__).parents[2] / "setsolver"), str(place)], check=True)
        try:
            subprocess.run(["mount", "-o", "remount,bind,ro", str(place)], check=True)
            yield Path(made)
        finally:
            subprocess.run(["umount", "-l", str(place)], check=True)


def nobody(brief: Path) -> dict[str, int]:
    """Scan and suggest as a user without a home and without an entry among the users, from a package that is closed.

    As in a container that runs under a number of its own (unshare(1), --map-user).
    """
    ends = {}
    as_nobody = ["unshare", "--user", f"--map-user={_NUMBER}", f"--map-group={_NUMBER}"]
    with closed_package() as package, tempfile.TemporaryDirectory() as made:
        shoot = drawn(Path(made) / "shoot")
        before = the_same(shoot)
        for verb in (
            ("scan", shoot),
            ("frames", shoot, *(word for one in before for word in ("--set", one.name, "kind=photograph"))),
            ("suggest", shoot, "--brief", brief, "--no-open", "--out", Path(made) / "set"),
        ):
            done = subprocess.run(
                [*as_nobody, sys.executable, "-m", "setsolver", *map(str, verb)],
                cwd=made,
                capture_output=True,
                text=True,
                check=False,
                env={"PATH": os.environ["PATH"], "PYTHONPATH": str(package)},
            )
            ends[f"{verb[0]} ends with {done.returncode}"] = 1
            if done.returncode != 0 or "Traceback" in done.stderr:
                raise NotKept(f"{verb} of nobody ends with {done.returncode}: {done.stderr}")
        the_same(shoot, before)
        index_is_sound(shoot)
    return ends


def main() -> None:
    """Try all places, or one."""
    asked = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    asked.add_argument("--only", choices=("odd", "full", "filling", "read-only", "nobody"), help="one of the places")
    asked.add_argument(
        "--rooms", type=int, nargs="*", default=[0, 40, 400, 2000], help="kilobytes left on a filling disk"
    )
    given = asked.parse_args()
    with tempfile.TemporaryDirectory() as made:
        brief = Path(made) / "any-three.toml"
        brief.write_text(BRIEF, encoding="utf-8")
        places = {
            "odd": odd_names,
            "full": partial(full_disk, brief),
            "filling": partial(filling_disk, brief, given.rooms),
            "read-only": partial(read_only, brief),
            "nobody": partial(nobody, brief),
        }
        for name, tried in places.items():
            if given.only in {None, name}:
                print(f"| {name} |", tried(), flush=True)


if __name__ == "__main__":
    main()
