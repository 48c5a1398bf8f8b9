"""Has the kernels compiled, or read from disk, before a clock starts.

They are compiled once after installing, which takes some seconds; a search asked before that would count them as its
own time.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

import numpy as np

from setsolver.domain.problem import Problem
from setsolver.solver.compiled import NOTHING
from setsolver.solver.explore import UNSETTLED, Node, explore, load, stack_for
from setsolver.solver.feasible import possible
from setsolver.solver.incumbent import start_at
from setsolver.solver.instance import instance_of, lengths
from setsolver.solver.restriction import Restriction
from setsolver.solver.ruleset import Ruleset
from setsolver.solver.workspace import workspace

__all__ = ["make_ready"]

_LOCK = threading.Lock()
_DONE: set[str] = set()


def make_ready(part: str = "search") -> float:
    """Compile what is needed, or wait for whoever does; return the seconds that this took.

    Parameters
    ----------
    part : "search" for the best set, "clash" for the question whether there is any.
    """
    if part in _DONE:
        return 0.0
    start = time.perf_counter()
    with _LOCK:
        if part not in _DONE:
            _PARTS[part]()
            _DONE.add(part)
    return time.perf_counter() - start


def _run_search() -> None:
    instance, _ = instance_of(_small(), Restriction())
    work, stack = workspace(instance, np.zeros(1)), stack_for(instance)
    tone = instance.tones.tone
    low, high = tone.min(axis=0), tone.max(axis=0)
    start_at(instance, work, tone[0], low, high, 2)
    _, dims, roles = lengths(instance)
    nobody, everyone = np.zeros(0, dtype=np.int64), np.arange(instance.total)
    load(stack, Node(np.inf, nobody, low, high, np.zeros(dims), np.zeros(roles), everyone, UNSETTLED, 0, 0.0))
    explore(instance, work, stack, 1, 1, NOTHING)


def _run_clash() -> None:
    possible(Ruleset.of(_small()))


_PARTS: dict[str, Callable[[], None]] = {"search": _run_search, "clash": _run_clash}


def _small() -> Problem:
    """Return a problem with something of everything: kernels are compiled for kinds of arrays, not for their sizes."""
    rng = np.random.default_rng(0)
    frames = 6
    return Problem.from_arrays(
        {
            "size": 3,
            "frame": np.arange(frames),
            "gain": rng.uniform(0, 10, (frames, 2)),
            "role_min": [1, 1],
            "role_max": [2, 2],
            "tone": rng.normal(0, 1, (frames, 2)),
            "tone_weight": [1.0, 1.0],
            "tone_slack": [0.1, 0.1],
            "tone_reach": [5.0, 5.0],
            "place": rng.normal(0, 1, (frames, 2)),
            "variety_weight": 1.0,
            "group": [np.arange(frames) // 2],
            "group_cap": [1],
            "conflict": [[0, 2]],
        }
    )
