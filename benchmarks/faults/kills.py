"""Scans and suggestions killed at random instants: what was there is there, what was begun is whole or absent."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

from checks import NotKept, index_is_sound, no_part_is_left, sets_are_whole, the_same

from setsolver.catalog.place import index_file
from setsolver.catalog.store import Store
from setsolver.usecases.tasks import READ

__all__ = ["run_kills"]

_SIGNALS = (signal.SIGKILL, signal.SIGINT, signal.SIGTERM)


def run_kills(count: int, seed: int, where: Path, shoot: Path, brief: Path, longest: float) -> Counter[str]:
    """Kill ``count`` runs after up to ``longest`` seconds and return how they ended.

    shoot : a folder of JPEG files. brief : one that they can meet.

    Raises
    ------
    NotKept
        Where an original changed, the index is unsound, a correction is lost, a set is not whole, a part is left by the
        next run, or a run ends with a traceback.
    """
    counts: Counter[str] = Counter()
    before = the_same(shoot)
    with Store(index_file(shoot), *READ) as store:
        store.correct(_said(shoot))
    for number in range(count):
        chance = random.Random(f"{seed} {number}")
        verb = chance.choice(("scan", "suggest"))
        how = chance.choice(_SIGNALS)
        ended = _killed(_words(verb, shoot, brief), where, how, chance.uniform(0.1, longest))
        counts[f"{verb}, {how.name}: {ended}"] += 1
        the_same(shoot, before)
        index_is_sound(shoot)
        sets_are_whole(where / "sets")
        _corrections_are_there(shoot)
    time.sleep(3)  # parts younger than that belong to somebody
    done = subprocess.run(_words("suggest", shoot, brief), cwd=where, check=False, capture_output=True, text=True)
    if done.returncode != 0:
        raise NotKept(f"the run after all kills ends with {done.returncode}: {done.stderr}{done.stdout}")
    no_part_is_left(where)
    counts["set folders, each whole"] = sets_are_whole(where / "sets")
    the_same(shoot, before)
    return counts


def _said(shoot: Path) -> dict[str, dict[str, str | None]]:
    """Return corrections of all frames: they are drawings, and it is said that they are photographs."""
    return {path.name: {"kind": "photograph", "scale": "close"} for path in shoot.glob("*.jpg")}


def _words(verb: str, shoot: Path, brief: Path) -> list[str]:
    words = [sys.executable, "-m", "setsolver", verb, str(shoot)]
    return [*words, "--again"] if verb == "scan" else [*words, "--brief", str(brief), "--no-open", "-k", "1"]


def _killed(words: list[str], where: Path, how: signal.Signals, after: float) -> str:
    with subprocess.Popen(words, cwd=where, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True) as run:
        try:
            run.wait(after)
        except subprocess.TimeoutExpired:
            os.kill(run.pid, how)
        _, says = run.communicate(timeout=120)
    if "Traceback" in says:
        raise NotKept(f"{words} after {after:.2f} s and {how.name}: {says}")
    return "done before" if run.returncode == 0 else f"ended with {run.returncode}"


def _corrections_are_there(shoot: Path) -> None:
    with Store(index_file(shoot), *READ) as store:
        said = store.corrections()
    if said != _said(shoot):
        raise NotKept(f"{shoot}: corrections are {said}")
