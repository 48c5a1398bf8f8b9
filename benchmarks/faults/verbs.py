"""Every verb as it is run by the campaign of kills, and what must hold of what it writes, however it ended."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from checks import NotKept, print_is_whole

from setsolver.usecases.briefs import load_brief
from setsolver.usecases.problem_file import load
from setsolver.usecases.tastes import load_taste

__all__ = ["LASTING", "Ground", "Verb", "verbs"]

LASTING = "board"
"""The verb that ends by a signal only."""


@dataclass(frozen=True)
class Ground:
    """Where the campaign takes place: a scanned shoot, a brief for it, a set of it, a folder for what is made."""

    where: Path
    shoot: Path
    brief: Path

    @property
    def first(self) -> Path:
        """The set that was made before anything was killed."""
        return self.where / "first"

    @property
    def made(self) -> Path:
        """The folder for what killed runs write."""
        return self.where / "made"


@dataclass(frozen=True)
class Verb:
    """words : after ``setsolver``. look : judges what the run wrote, which may be nothing; raises ``NotKept``."""

    words: tuple[str, ...]
    look: Callable[[], None]


def verbs(ground: Ground, number: int) -> dict[str, Verb]:
    """Return every verb by its name; what it writes carries the run's number."""
    shoot, brief, first = (str(part) for part in (ground.shoot, ground.brief, ground.first))
    solving = ("--brief", brief)
    problem, taste, new = (ground.made / f"{number}{end}" for end in (".npz", "-taste.toml", "-brief.toml"))
    prints = ground.made / f"{number}-prints"
    pictures = [str(ground.shoot / f"{frame:04d}.jpg") for frame in (0, 4, 8)]
    plain = {
        "scan": ("scan", shoot, "--again"),
        "scan --fast": ("scan", shoot, "--again", "--fast"),
        "frames": ("frames", shoot, "--set", "0003.jpg", f"stars={number % 6}"),
        "suggest": ("suggest", shoot, *solving, "--no-open", "-k", "1"),
        "check": ("check", *pictures, *solving),
        "compare": ("compare", first, f"{first}#2"),
        "why": ("why", first, "0003.jpg"),
        "gaps": ("gaps", shoot, *solving),
        "board": ("board", shoot, *solving, "--no-open"),
        "brief check": ("brief", "check", brief),
        "solve": ("solve", str(ground.where / "sound.npz"), "--alternates", "2", "--prices"),
    }
    found = {name: Verb(words, _nothing) for name, words in plain.items()}
    return found | {
        "suggest --save-problem": Verb(
            (*plain["suggest"], "--prices", "--save-problem", str(problem)), lambda: _reads(problem, load)
        ),
        "learn": Verb(
            ("learn", str(ground.where / "choices.jsonl"), "--out", str(taste)),
            lambda: _reads(taste, lambda path: load_taste(str(path))),
        ),
        "brief new": Verb(("brief", "new", str(new)), lambda: _reads(new, load_brief)),
        "finish": Verb(
            ("finish", first, "--out", str(prints), "--ppi", "100", "--sidecars", str(ground.made / f"{number}-xmp")),
            lambda: _prints(prints),
        ),
    }


def _nothing() -> None:
    """Look at nothing: what this verb writes is looked at after every run."""


def _reads(path: Path, reading: Callable[[Path], object]) -> None:
    if path.exists():
        reading(path)


def _prints(folder: Path) -> None:
    """See that every print, table and document in a folder is whole; what is begun has another name."""
    for file in folder.iterdir() if folder.exists() else ():
        if file.name.startswith("."):
            continue
        if file.suffix == ".json":
            json.loads(file.read_text(encoding="utf-8"))
        elif file.suffix in {".tif", ".jpg"}:
            print_is_whole(file)
        elif not file.stat().st_size:
            raise NotKept(f"{file} is empty")
