"""Has the solver's compiled code ready by the time it is needed.

The kernels are compiled once per installation and then kept on disk. On the first run that takes half a minute of one
core, which a scan has to spare: it waits for its worker processes.
"""

from __future__ import annotations

import threading

import numpy as np

from setsolver.domain.problem import Problem

__all__ = ["Warming"]


class Warming:
    """Starts compiling in the background when made; ``wait`` returns when the solver is ready."""

    def __init__(self) -> None:
        self._thread = threading.Thread(target=_solve_something, name="warming", daemon=True)
        self._thread.start()

    @property
    def ready(self) -> bool:
        """True where a search would start at once."""
        return not self._thread.is_alive()

    def wait(self) -> None:
        """Return when ready. A search asked before that would compile too, and count it as its own time."""
        self._thread.join()


def _solve_something() -> None:
    from setsolver.solver import solve  # noqa: PLC0415 - importing the compiler is part of what happens aside

    rng = np.random.default_rng(0)
    frames = 6
    problem = Problem.from_arrays(
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
    solve(problem, alternates=1)
