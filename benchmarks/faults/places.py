"""Bad places: a disk that fills up, one that may only be read, nobody's home, odd names, very many files.

Needs Linux, and root for the disks (a tmpfs is mounted in a temporary folder and taken away again). Ends with an
error at the first thing that is not kept.

``python benchmarks/faults/places.py --many 20000``
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import httpx2
import numpy as np
from PIL import Image

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[2])]

from checks import (  # noqa: E402
    SET_FILES,
    NotKept,
    index_is_sound,
    no_part_is_left,
    print_is_whole,
    sets_are_whole,
    the_same,
)

from setsolver.usecases.scan import scan  # noqa: E402
from tests.catalog.fakes import measurer  # noqa: E402 - measuring is not what is tried here
from tests.cli.shoot import BRIEF, draw  # noqa: E402

BOOK_FILES = {"album.json", "album.pdf", "cover.jpg", "overview.pdf", "screen.pdf"}
_ALBUM = """
name = "small-book"
min_ppi = 40
[album]
page_cm = [15, 12]
spreads = [2, 3]
density = [1, 2.5]
kinds = ["single", "quiet", "page", "lead-two"]
order = "name"
[tone]
reach = { black = 60, mid = 60, white = 60, cast = 60 }
[repeats]
twins = 1
"""
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


def _shoot(folder: Path, count: int = 6, size: tuple[int, int] = (300, 200)) -> Path:
    folder.mkdir()
    for number in range(count):
        draw(number, size).save(folder / f"{number:04d}.jpg", quality=90)
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


def filling_disk(brief: Path, rooms: Iterable[int] = (0, 40, 400, 2000)) -> dict[str, int]:
    """Leave so many kilobytes of a disk, and let every verb that writes go on with what is left, to its end or not.

    Afterwards there is room again, and the same verb must succeed.
    """
    ends: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as made:
        sound = _shoot(Path(made) / "shoot", 8, (900, 600))
        album = Path(made) / "small-album.toml"
        album.write_text(_ALBUM, encoding="utf-8")
        _run(Path(made), "scan", sound, codes=(0,))
        drawn = [word for file in sound.glob("*.jpg") for word in ("--set", file.name, "kind=photograph")]
        _run(Path(made), "frames", sound, *drawn, codes=(0,))
        for room in rooms:
            with _disk(24_000) as disk:
                shoot = Path(shutil.copytree(sound, disk / "shoot"))
                before = the_same(shoot)
                _run(disk, "suggest", shoot, "--brief", brief, "--no-open", "--out", disk / "first", codes=(0,))
                filler = disk / "filler"
                for verb in _writers(disk, shoot, brief, album):
                    _fill(filler, disk, room)
                    code = _on_board(disk, verb) if verb[0] == "board" else _run(disk, *verb)
                    ends[f"{verb[0]} ends with {code}"] += 1
                    _look_around(disk, shoot, before)
                    filler.unlink()
                    time.sleep(2.1)  # parts younger than that belong to somebody
                    if verb[0] == "board":
                        _on_board(disk, verb, codes=(200,))
                    elif verb[0] != "finish" or code != 0:
                        again = [*verb[:-1], f"{verb[-1]}-again"] if verb[0] in {"suggest", "album"} else verb
                        _run(disk, *again, codes=(0,))
                    _look_around(disk, shoot, before)
                no_part_is_left(disk)
    return dict(ends)


def _writers(disk: Path, shoot: Path, brief: Path, album: Path) -> list[tuple[object, ...]]:
    """Return every verb that writes much."""
    return [
        ("scan", shoot, "--again"),
        ("suggest", shoot, "--brief", brief, "--no-open", "--out", disk / "second"),
        ("finish", disk / "first", "--ppi", "100", "--sidecars", disk / "xmp", "--out", disk / "prints"),
        ("album", shoot, "--brief", album, "--ppi", "60", "--out", disk / "book"),
        ("board", shoot, "--brief", brief, "--no-open", "--json"),
    ]


def _fill(filler: Path, disk: Path, room: int) -> None:
    """Leave so many kilobytes of a disk."""
    with suppress(OSError), filler.open("wb") as out:
        while (left := shutil.disk_usage(disk).free - room * 1024) > 0:
            out.write(bytes(min(left, 65_536)))
            out.flush()


def _look_around(disk: Path, shoot: Path, before: dict[Path, str]) -> None:
    """See that originals are as they were, the index sound, and every folder whole or absent."""
    the_same(shoot, before)
    index_is_sound(shoot)
    for one in disk.iterdir():
        files = {file.name: file.stat().st_size for file in one.iterdir()} if one.is_dir() else {}
        if one.name.startswith(("first", "second")) and (files.keys() != SET_FILES or not all(files.values())):
            raise NotKept(f"{one}: {files}")
        if one.name.startswith("book") and (files.keys() != BOOK_FILES or not all(files.values())):
            raise NotKept(f"{one}: {files}")
        for name in files if one.name == "prints" else ():
            if name.endswith((".tif", ".jpg")) and not name.startswith("."):
                print_is_whole(one / name)


def _on_board(disk: Path, words: tuple[object, ...], codes: tuple[int, ...] = (200, 422, 500)) -> int:
    """Rate a frame, weigh and ask for a picture on a board, end it by Ctrl-C; return how the worst act ended."""
    run = subprocess.Popen(
        [sys.executable, "-m", "setsolver", *map(str, words)],
        cwd=disk,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert run.stdout is not None
    lines, worst = [], 0
    while lines[-1:] not in (["}\n"], [""]):
        lines.append(run.stdout.readline())
    told = "".join(lines)
    if told:
        with httpx2.Client(follow_redirects=True, timeout=120, trust_env=False) as page:
            address = json.loads(told)["address"]
            own = address.partition("/?")[0]
            page.get(address)
            frame = page.get(f"{own}/frames").json()["columns"]["frame"][0]
            acts = (
                {"do": "rate", "frame": frame, "stars": 4},
                {"do": "weigh", "term": "appeal", "points": 30},
                {"do": "bar", "frame": frame},
            )
            for act in acts:
                answer = page.post(f"{own}/act", json=act, headers={"origin": own})
                worst = max(worst, answer.status_code)
                if answer.status_code not in codes or (answer.status_code != 200 and not answer.json()["says"]):
                    raise NotKept(f"{act} on a full disk: {answer.status_code} {answer.text[:300]}")
            if page.get(f"{own}/board").status_code != 200 or page.get(f"{own}/frame/{frame}/240").status_code != 200:
                raise NotKept("the board on a full disk shows nothing")
        run.send_signal(signal.SIGINT)
    _, says = run.communicate(timeout=120)
    if "Traceback" in says or run.returncode not in {0, 2, 130} or (not told and run.returncode != 2):
        raise NotKept(f"{words} ends with {run.returncode}: {says}")
    return worst or run.returncode


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
            picture[0, 0] = (
                number % 251,
                number // 251 % 251,
                1 + number // 63001,
            )  # never what the fake measuring fears
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
            print("| filling disk |", filling_disk(brief), flush=True)
            print("| read only |", read_only(brief), flush=True)
    for count in given.many:
        with suppress(KeyboardInterrupt):
            print("| many |", many(count), flush=True)


if __name__ == "__main__":
    main()
