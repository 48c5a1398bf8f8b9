"""CP-SAT, run so that Ctrl-C ends a search and stays Python's own afterwards.

OR-Tools answers SIGINT by itself while it searches, and then leaves the system's way in place of Python's (found with
9.15: ``sigaction(2)`` tells SIG_DFL after one search): the next Ctrl-C ended the whole process, with nothing closed.
Told not to, it hears no Ctrl-C at all until the search is over. So the search runs beside the thread that is struck.
"""

from __future__ import annotations

import threading
from concurrent.futures import Future, ThreadPoolExecutor, wait
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

__all__ = ["solved"]

_AGAIN = 0.05
"""Seconds until a search is told again to end: one that has only begun does not hear it."""


def solved(solver: cp_model.CpSolver, model: cp_model.CpModel, watch: Any = None) -> Any:
    """Solve a model, and return the status; Ctrl-C ends the search, and then is raised.

    watch : told of each solution, as ``CpSolver.solve`` takes it.
    """
    solver.parameters.catch_sigint_signal = False
    if threading.current_thread() is not threading.main_thread():  # which alone is struck
        return solver.solve(model, watch)
    with ThreadPoolExecutor(1, "cp-sat") as pool:
        found: Future[Any] = pool.submit(solver.solve, model, watch)
        try:
            return found.result()
        except BaseException:
            while not found.done():
                solver.stop_search()
                wait([found], _AGAIN)
            raise
