"""Runs of every verb killed at random instants: what was there is there, what was begun is whole or absent."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

from checks import (
    NotKept,
    index_is_sound,
    no_part_is_left,
    no_process_is_left,
    parts_left,
    semaphores,
    sets_are_whole,
    tells_a_traceback,
    the_same,
)
from verbs import LASTING, Ground, Verb, verbs

from setsolver.catalog.place import index_file
from setsolver.catalog.store import Store
from setsolver.usecases.tasks import READ

__all__ = ["heed_signals", "run_kills"]

_WAYS = ("SIGKILL", "SIGINT", "SIGTERM", "SIGHUP", "SIGKILL to the group", "SIGINT to the group")
_STEP = 7
"""Verbs are taken in the order of their names by steps of so many, which shares no divisor with their number,
from the seed on."""
_SHARE_FINISHED = 4
"""One in so many killed finishes is run again to its end."""


def run_kills(count: int, seed: int, ground: Ground) -> Counter[str]:
    """Kill ``count`` runs, each at a random instant of the time that its verb takes, and return how they ended.

    Raises
    ------
    NotKept
        Where an original changed, the index is unsound, a correction is lost, something written is not whole, a process
        or a part is left over, a run hangs or ends with a traceback.
    """
    counts: Counter[str] = Counter()
    heed_signals()
    before = the_same(ground.shoot)
    said = _say(ground.shoot)
    takes: dict[str, float] = {}
    mine = semaphores()
    killed: list[Verb] = []
    for number in range(count):
        chance = random.Random(f"{seed} {number}")
        every = verbs(ground, number)
        name = sorted(every)[(number * _STEP + seed) % len(every)]
        if name not in takes:
            takes[name] = _takes(ground, name)
        way = chance.choice(_WAYS)
        ended = _killed(every[name], ground.where, way, chance.uniform(0.05, takes[name]))
        counts[f"{name}, {way}: {ended}"] += 1
        the_same(ground.shoot, before)
        index_is_sound(ground.shoot)
        counts["set folders, each whole"] = sets_are_whole(ground.where / "sets")
        every[name].look()
        _corrections_are_there(ground.shoot, said)
        if name == "finish":
            killed.append(every[name])
            if chance.randrange(_SHARE_FINISHED) == 0:
                _done(every[name], ground.where)
                counts["finishes taken up again"] += 1
    time.sleep(3)  # parts younger than that belong to somebody
    _done(verbs(ground, count)["suggest"], ground.where)
    for verb in killed:  # what a process that was killed outright was writing, the next run of the same takes away
        if parts_left(ground.where):
            _done(verb, ground.where)
            counts["finishes taken up for their parts"] += 1
    no_part_is_left(ground.where)
    the_same(ground.shoot, before)
    counts["semaphores left"] = len(semaphores() - mine)
    return counts


def heed_signals() -> None:
    """Take back what a shell ignores for what it runs behind (SIGINT after ``&``, SIGHUP after ``nohup``).

    Runs would be born deaf to them: what is handled here begins anew in a child, what is ignored here stays ignored.
    """
    signal.signal(signal.SIGINT, signal.default_int_handler)
    for one in (signal.SIGHUP, signal.SIGTERM):
        signal.signal(one, signal.SIG_DFL)


def _say(shoot: Path) -> dict[str, dict[str, str | None]]:
    """Correct all frames: they are drawings, and it is said that they are photographs."""
    said: dict[str, dict[str, str | None]] = {
        path.name: {"kind": "photograph", "scale": "close"} for path in shoot.glob("*.jpg")
    }
    with Store(index_file(shoot), *READ) as store:
        store.correct(said)
    return said


def _takes(ground: Ground, name: str) -> float:
    """Return how many seconds a verb takes undisturbed; what has no end is ended."""
    verb = verbs(ground, -1)[name]
    start = time.monotonic()
    if name == LASTING:
        _killed(verb, ground.where, "SIGINT", 15.0)
    else:
        _done(verb, ground.where)
    return time.monotonic() - start


def _done(verb: Verb, where: Path) -> None:
    done = subprocess.run(_words(verb), cwd=where, check=False, capture_output=True, text=True, timeout=600)
    if done.returncode not in {0, 1} or "Traceback" in done.stderr:
        raise NotKept(f"{verb.words} undisturbed ends with {done.returncode}: {done.stderr}{done.stdout}")


def _words(verb: Verb) -> list[str]:
    return [sys.executable, "-m", "setsolver", *verb.words]


def _killed(verb: Verb, where: Path, way: str, after: float) -> str:
    words = _words(verb)
    how = signal.Signals[way.partition(" ")[0]]
    with subprocess.Popen(
        words, cwd=where, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, start_new_session=True
    ) as run:
        try:
            run.wait(after)
        except subprocess.TimeoutExpired:
            (os.killpg if "group" in way else os.kill)(run.pid, how)
        try:
            _, says = run.communicate(timeout=120)
        except subprocess.TimeoutExpired as error:
            os.killpg(run.pid, signal.SIGKILL)
            raise NotKept(f"{words} after {after:.2f} s and {way}: it hangs") from error
    no_process_is_left(run.pid)
    if tells_a_traceback(says):
        raise NotKept(f"{words} after {after:.2f} s and {way}: {says}")
    return "done before" if run.returncode == 0 and words[3] != LASTING else f"ended with {run.returncode}"


def _corrections_are_there(shoot: Path, said: dict[str, dict[str, str | None]]) -> None:
    """See that all corrections are there; stars may have come to one frame."""
    with Store(index_file(shoot), *READ) as store:
        now = store.corrections()
    now.get("0003.jpg", {}).pop("stars", None)
    if now != said:
        raise NotKept(f"{shoot}: corrections are {now}")
