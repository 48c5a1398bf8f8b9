"""Disks that fill up: every verb that writes much goes on with so many kilobytes left, and again when there is room.

Needs Linux, and root (a tmpfs is mounted in a temporary folder and taken away again).
"""

from __future__ import annotations

import json
import os
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
from checks import SET_FILES, NotKept, index_is_sound, no_part_is_left, print_is_whole, sets_are_whole, the_same

from tests.cli.shoot import draw

__all__ = ["drawn", "filling_disk", "full_disk", "mounted", "run"]

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


@contextmanager
def mounted(kilobytes: int) -> Iterator[Path]:
    """Mount a disk of so many kilobytes."""
    with tempfile.TemporaryDirectory() as made:
        subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={kilobytes}k", "tmpfs", made], check=True)
        try:
            yield Path(made)
        finally:
            subprocess.run(["umount", "-l", made], check=True)


def run(where: Path, *words: object, codes: tuple[int, ...] = (0, 1, 2), **environment: str) -> int:
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


def drawn(folder: Path, count: int = 6, size: tuple[int, int] = (300, 200)) -> Path:
    folder.mkdir()
    for number in range(count):
        draw(number, size).save(folder / f"{number:04d}.jpg", quality=90)
    return folder


def full_disk(brief: Path) -> dict[str, int]:
    """Scan and suggest on disks from hardly any to enough room."""
    ends: dict[str, int] = {}
    for room in (300, 400, 500, 600, 700, 900, 1200, 2000):
        with mounted(room) as disk:
            shoot = drawn(disk / "shoot")
            before = the_same(shoot)
            for words in (
                ("scan", shoot),
                ("frames", shoot, "--set", "0001.jpg", "kind=photograph"),
                ("suggest", shoot, "--brief", brief, "--no-open", "--save-problem", disk / "problem.npz"),
                ("brief", "new", disk / "new.toml"),
            ):
                code = run(disk, *words)
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
        sound = drawn(Path(made) / "shoot", 8, (900, 600))
        album = Path(made) / "small-album.toml"
        album.write_text(_ALBUM, encoding="utf-8")
        run(Path(made), "scan", sound, codes=(0,))
        photographs = [word for file in sound.glob("*.jpg") for word in ("--set", file.name, "kind=photograph")]
        run(Path(made), "frames", sound, *photographs, codes=(0,))
        for room in rooms:
            with mounted(24_000) as disk:
                shoot = Path(shutil.copytree(sound, disk / "shoot"))
                before = the_same(shoot)
                run(disk, "suggest", shoot, "--brief", brief, "--no-open", "--out", disk / "first", codes=(0,))
                filler = disk / "filler"
                for verb in _writers(disk, shoot, brief, album):
                    _fill(filler, disk, room)
                    code = _on_board(disk, verb) if verb[0] == "board" else run(disk, *verb)
                    ends[f"{verb[0]} ends with {code}"] += 1
                    _look_around(disk, shoot, before)
                    filler.unlink()
                    time.sleep(2.1)  # parts younger than that belong to somebody
                    if verb[0] == "board":
                        _on_board(disk, verb, codes=(200,))
                    elif verb[0] != "finish" or code != 0:
                        again = [*verb[:-1], f"{verb[-1]}-again"] if verb[0] in {"suggest", "album"} else verb
                        run(disk, *again, codes=(0,))
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
