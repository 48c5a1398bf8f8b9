"""Damaged briefs, outcomes, problem files, sidecars and indexes: read, or refused in a sentence; nothing else."""

from __future__ import annotations

import random
import shutil
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from checks import NotKept
from mutate import mutated

from setsolver.catalog.xmp import read_packet
from setsolver.errors import SetsolverError
from setsolver.usecases.briefs import load_brief
from setsolver.usecases.problem_file import load
from setsolver.usecases.reopened import brief_of
from setsolver.usecases.scan import scan
from setsolver.usecases.sets import load_set
from setsolver.usecases.snapshot import snapshot

__all__ = ["run_documents"]

Reading = Callable[[Path], object]


def _outcome(path: Path) -> object:
    outcome, _ = load_set(str(path))
    return brief_of(outcome)


def _sidecar(path: Path) -> object:
    return read_packet(path.read_bytes())


def run_documents(
    count: int, seed: int, where: Path, sound: dict[str, Path], factory: Callable[[], object]
) -> Counter[str]:
    """Read ``count`` damaged documents and return how many were read and how many refused, by kind.

    sound : files to damage, by kind: "brief", "outcome", "problem", "sidecar", "index" (of a folder that was scanned).

    Raises
    ------
    NotKept
        Where reading raises anything but an error with a sentence.
    """
    readings: dict[str, Reading] = {"brief": load_brief, "outcome": _outcome, "problem": load, "sidecar": _sidecar}
    kinds = sorted(sound)
    for kind, reading in readings.items():
        reading(sound[kind])  # what is refused undamaged would try nothing
    counts: Counter[str] = Counter()
    for number in range(count):
        chance = random.Random(f"{seed} {number}")
        kind = chance.choice(kinds)
        place = where / f"document{sound[kind].suffix}"
        if kind == "index":
            counts[f"{kind} {_index(where, sound[kind], chance, factory)}"] += 1
            continue
        place.write_bytes(mutated(sound[kind].read_bytes(), chance))
        counts[f"{kind} {_read(place, readings[kind], f'{kind}, seed {seed} {number}')}"] += 1
    return counts


def _read(place: Path, reading: Reading, which: str) -> str:
    try:
        reading(place)
    except SetsolverError as error:
        if not str(error).strip():
            raise NotKept(f"{which}: refused without a word") from error
        return "refused"
    except Exception as error:
        raise NotKept(f"{which}: {type(error).__name__}: {error}") from error
    return "read"


def _index(where: Path, sound: Path, chance: random.Random, factory: Callable[[], object]) -> str:
    """Scan and look at a copy of a scanned folder whose index is damaged; its photographs stay as they are."""
    folder = where / "damaged"
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(sound.parents[1], folder)
    file = folder / ".setsolver" / "index.db"
    file.write_bytes(mutated(sound.read_bytes(), chance))

    def use(_: Path) -> object:
        scan(folder, factory=factory, workers=0)  # type: ignore[arg-type]
        return snapshot(folder)

    return _read(file, use, f"index {chance.getstate()[1][0]}")
