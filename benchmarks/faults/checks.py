"""What must hold after every fault."""

from __future__ import annotations

import json
import re
import shutil
import sqlite3
import tempfile
import time
from contextlib import closing
from pathlib import Path

from PIL import Image
from xxhash import xxh3_128_hexdigest

__all__ = [
    "SET_FILES",
    "NotKept",
    "index_is_sound",
    "no_part_is_left",
    "no_process_is_left",
    "parts_left",
    "print_is_whole",
    "semaphores",
    "sets_are_whole",
    "tells_a_traceback",
    "the_same",
]

SET_FILES = {"outcome.json", "proof.html", "proof.png"}


class NotKept(Exception):  # noqa: N818 - reads as a sentence
    """Something was lost, changed, left over or said badly."""


def the_same(folder: Path, before: dict[Path, str] | None = None) -> dict[Path, str]:
    """Return a digest of every file that is not the index; where given those of before, they must be the same."""
    files = [path for path in folder.rglob("*") if path.is_file() and ".setsolver" not in path.parts]
    now = {path: xxh3_128_hexdigest(path.read_bytes()) for path in files}
    if before is not None and now != before:
        raise NotKept(f"{folder}: files that changed: {sorted(map(str, now.items() ^ before.items()))}")
    return now


def index_is_sound(folder: Path) -> None:
    """Let SQLite check the index of a folder, if there is one; a copy of it, since its disk may be full."""
    file = folder / ".setsolver" / "index.db"
    if not file.exists():
        return
    with tempfile.TemporaryDirectory() as elsewhere:
        for part in (file, file.with_name(f"{file.name}-wal")):
            if part.exists():
                shutil.copy(part, elsewhere)
        with closing(sqlite3.connect(Path(elsewhere) / file.name)) as db:
            found = db.execute("PRAGMA integrity_check").fetchall()
            wrong = db.execute("PRAGMA foreign_key_check").fetchall()
    if found != [("ok",)] or wrong:
        raise NotKept(f"{file}: {found} {wrong}")


def parts_left(folder: Path) -> list[Path]:
    """Return what lies about half-written."""
    return list(folder.rglob(".setsolver-*.part"))


def no_part_is_left(folder: Path) -> None:
    """See that nothing half-written lies about."""
    left = parts_left(folder)
    if left:
        raise NotKept(f"left over: {left}")


def sets_are_whole(folder: Path) -> int:
    """Return how many set folders there are; each must have all of its files, and none of them empty."""
    found = [path for path in folder.iterdir() if not path.name.startswith(".")] if folder.exists() else []
    for one in found:
        files = {path.name: path.stat().st_size for path in one.iterdir()}
        wanted = SET_FILES
        if files.get("outcome.json") and not json.loads((one / "outcome.json").read_text(encoding="utf-8"))["sets"]:
            wanted = SET_FILES - {"proof.png"}  # an answer that there is no set
        if files.keys() != wanted or not all(files.values()):
            raise NotKept(f"{one}: {files}")
    return len(found)


def print_is_whole(file: Path) -> None:
    """See that a print decodes to its end."""
    try:
        with Image.open(file) as image:
            image.load()
    except OSError as error:
        raise NotKept(f"{file}: {error}") from error


def no_process_is_left(session: int, patience: float = 20.0) -> None:
    """See that no process of a session is alive soon after its leader ended (Linux: /proc tells)."""
    until = time.monotonic() + patience
    while left := _of_session(session):
        if time.monotonic() > until:
            raise NotKept(f"processes left over: {left}")
        time.sleep(0.2)


def _of_session(session: int) -> list[int]:
    found = []
    for entry in Path("/proc").glob("[0-9]*/stat"):
        try:
            state, _, _, leader = entry.read_text().rpartition(")")[2].split()[:4]
        except OSError:
            continue
        if int(leader) == session and state != "Z":
            found.append(int(entry.parent.name))
    return found


def tells_a_traceback(says: str) -> bool:
    """Tell whether a traceback of ours was shown; one from before Python reads our first module is Python's own."""
    return "Traceback" in says and re.search(r'File "[^"]*setsolver[/\\](?!__init__)', says) is not None


def semaphores() -> set[str]:
    """Return the names of semaphores of processes that are gone (Linux; loky puts its process's id into the name)."""
    names = [path.name for path in Path("/dev/shm").glob("sem.loky-*")]
    return {name for name in names if not Path(f"/proc/{name.split('-')[1]}").exists()}
