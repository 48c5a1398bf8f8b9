"""CP-SAT, run so that Ctrl-C ends a search and stays Python's own afterwards.

OR-Tools answers SIGINT by itself while it searches, and then leaves the system's way in place of Python's (found with
9.15: ``sigaction(2)`` tells SIG_DFL after one search): the next Ctrl-C ended the whole process, with nothing closed.
Told not to, it hears no Ctrl-C at all until the search is over. So the search runs beside the thread that is struck.
"""

from __future__ import annotations

import threading
from concurrent.futures import Future, ThreadPoolExecutor, wait
from contextlib import suppress
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

__all__ = ["solved"]

_AGAIN = 0.05
"""Seconds until a search is told again to end: one that has only begun does not hear it."""
_LOOK = 0.2
"""Seconds until a wait for the search is begun anew: a Ctrl-C that strikes just before the system's wait begins is
noted by Python, and wakes nothing."""


def solved(solver: cp_model.CpSolver, model: cp_model.CpModel, watch: Any = None) -> Any:
    """Solve a model, and return the status; Ctrl-C ends the search, and then is raised.

    watch : told of each solution, as ``CpSolver.solve`` takes it.
    """
    solver.parameters.catch_sigint_signal = False
    if threading.current_thread() is not threading.main_thread():  # which alone is struck
        return solver.solve(model, watch)
    begin, leave = threading.Event(), threading.Event()

    def search() -> Any:
        begin.wait()  # or a Ctrl-C amid ``submit`` would leave a search that nobody knows of
        return None if leave.is_set() else solver.solve(model, watch)

    with ThreadPoolExecutor(1, "cp-sat") as pool:
        found: Future[Any] | None = None
        try:
            found = pool.submit(search)
            begin.set()
            while not found.done():
                with suppress(TimeoutError):
                    found.exception(_LOOK)
            return found.result()
        except BaseException:
            leave.set()
            begin.set()
            while found is not None and not found.done():
                solver.stop_search()
                with suppress(KeyboardInterrupt):  # it is ending; left here, nothing would tell it to any more
                    wait([found], _AGAIN)
            raise
