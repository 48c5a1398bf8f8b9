"""Has the solver's compiled code ready by the time it is needed.

The kernels are compiled once per installation and then kept on disk. On the first run that takes some seconds of one
core, which a scan has to spare: it waits for its worker processes.
"""

from __future__ import annotations

import threading
import time

__all__ = ["Warming"]


class Warming:
    """Starts compiling in the background when made; ``wait`` returns when the solver is ready."""

    def __init__(self) -> None:
        self._thread = threading.Thread(target=_make_ready, name="warming", daemon=True)
        self._thread.start()

    @property
    def ready(self) -> bool:
        """True where a search would start at once."""
        return not self._thread.is_alive()

    def wait(self, most: float | None = None) -> float:
        """Return when ready, or after ``most`` seconds; return how long that took, in seconds."""
        start = time.perf_counter()
        self._thread.join(most)
        return time.perf_counter() - start


def _make_ready() -> None:
    from setsolver.solver.ready import make_ready  # noqa: PLC0415 - importing the compiler is part of what happens aside

    make_ready()
