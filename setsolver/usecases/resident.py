"""One worker process that stays, its networks loaded, for the frame that is measured again now and then.

It keeps to what workers of a scan keep to (``guards``), and ends by itself after a while without work.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from typing import Any, TypeVar

from joblib.externals.loky import ProcessPoolExecutor

from setsolver.catalog.limits import most_seconds
from setsolver.interrupts import answered, deaf_children, held
from setsolver.usecases.guards import OUT_OF_TIME
from setsolver.usecases.measuring import (
    WORKER_ENVIRONMENT,
    end_pool,
    killer,
    load_guarded,
    measure_guarded,
    prepare_worker,
)
from setsolver.usecases.tasks import Factory, Result, Task

__all__ = ["IDLE_SECONDS", "Resident"]

T = TypeVar("T")

IDLE_SECONDS = 600
"""After so long without work the worker ends and gives back its memory, some 400 MB."""


class Resident:
    """A worker that measures one file at a time.

    Parameters
    ----------
    factory : makes what measures pixels, once, in the worker.
    """

    def __init__(self, factory: Factory) -> None:
        self._factory = factory
        self._lock = threading.Lock()
        self._pool: ProcessPoolExecutor | None = None
        self._loading: Future[None] | None = None

    def begin(self) -> None:
        """Let the worker start and load what it measures with, which takes seconds, and do not wait for it."""
        with self._lock, held():
            if self._pool is None:
                self._loading = self._submit(load_guarded, self._factory)

    def measure(self, task: Task) -> Result:
        """Return a file's row; a file that ends the worker is refused, and the next one gets another worker."""
        with self._lock, held():
            self._loaded()
            processes: tuple[Any, ...] = ()
            try:
                future = self._submit(measure_guarded, [task], self._factory)
                processes = tuple(self._pool._processes.values()) if self._pool else ()  # noqa: SLF001 - their exit codes
                with answered():
                    found: list[Result] = future.result()
            except BrokenProcessPool:
                self._end(at_once=True)
                late = OUT_OF_TIME is not None and any(process.exitcode == OUT_OF_TIME for process in processes)
                return killer(task, out_of_time=late)
            except BaseException:
                self._end(at_once=True)
                raise
            return found[0]

    def end(self) -> None:
        """End the worker; the next file gets another one."""
        with self._lock:
            self._end(at_once=False)

    def _submit(self, work: Callable[..., T], *given: object) -> Future[T]:
        if self._pool is None:
            start = os.getpid(), most_seconds()
            self._pool = ProcessPoolExecutor(
                1, initializer=prepare_worker, initargs=start, env=WORKER_ENVIRONMENT, timeout=IDLE_SECONDS
            )
        with deaf_children():
            future: Future[T] = self._pool.submit(work, *given)
        return future

    def _loaded(self) -> None:
        """Wait for a worker that was begun; one that ended over it is no fault of the file that comes next."""
        loading, self._loading = self._loading, None
        if loading is None:
            return
        try:
            with answered():
                loading.result()
        except Exception:  # noqa: BLE001 - the next worker says by the file's row what is wrong
            self._end(at_once=True)

    def _end(self, *, at_once: bool) -> None:
        pool, self._pool, self._loading = self._pool, None, None
        if pool is not None:
            end_pool(pool, at_once=at_once)
