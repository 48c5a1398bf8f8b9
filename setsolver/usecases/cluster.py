"""Measuring on a Dask cluster (the extra ``cluster``)."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from itertools import islice
from typing import Any

from setsolver.catalog.records import RefusedRow
from setsolver.errors import BadInput, SetsolverError
from setsolver.interrupts import answered
from setsolver.usecases.measuring import killer, measure_chunk
from setsolver.usecases.tasks import Factory, Result, Results, Task

__all__ = ["connected", "measure_on_cluster"]

_CHUNK = 4
_WAITING = 4
"""Chunks in flight for each thread of a worker; more would only fill memory."""
_TIMEOUT = "10s"
_PATIENCE = 30
"""Seconds to wait for a worker; one that died starts again within a few."""
_LOOK_UP_SECONDS = 0.02


def measure_on_cluster(tasks: Sequence[Task], factory: Factory, address: str) -> Results:
    """Measure on the workers of a Dask scheduler, results as they come; rows are still written here.

    Every worker must see the photographs under the same path and have setsolver installed. Files whose workers died
    are measured again one by one; one that workers die over alone is refused. To be run where Ctrl-C is ``held``.

    Raises
    ------
    BadInput
        Where the extra is not installed, the scheduler does not answer, it has no worker (any more), or workers fail.
    """
    left = {task.listed.path: task for task in tasks}
    with connected(address) as client:
        chunks = [list(tasks[start : start + _CHUNK]) for start in range(0, len(tasks), _CHUNK)]
        for result in _Flight(client, factory, chunks, address).results():
            del left[result.path]
            yield _seen_there(result)
        for task in left.values():  # one at a time: what is in flight when the worker dies is what killed it
            killed = True
            for result in _Flight(client, factory, [[task]], address).results():
                killed = False
                yield _seen_there(result)
            if killed:
                yield killer(task)


def connected(address: str) -> Any:
    """Return a client of a Dask scheduler; raises BadInput where the extra is missing or nothing answers."""
    try:
        from dask.distributed import Client  # noqa: PLC0415 - an extra
    except ImportError as error:
        raise BadInput("--cluster needs the extra 'cluster'; install it: pip install 'setsolver[cluster]'") from error
    try:
        return Client(address, timeout=_TIMEOUT)
    except (OSError, ValueError, TimeoutError) as error:
        raise BadInput(
            f"no Dask scheduler answers at {address!r} ({error}); give its address, such as tcp://host:8786"
        ) from error


class _Flight:
    """Chunks of tasks on a cluster, until each is answered or given up.

    Dask is waited for in a thread of its own: there, Ctrl-C never strikes between two steps, and here, time passes in
    which to see that no worker is left, which Dask does not end for.
    """

    def __init__(self, client: Any, factory: Factory, chunks: list[list[Task]], address: str) -> None:
        self._client, self._factory, self._chunks, self._address = client, factory, chunks, address
        self._answers = deque[list[Result]]()
        self._error: Exception | None = None

    def results(self) -> Iterator[Result]:
        """Yield results as they come, also those that came before Ctrl-C; a chunk that was given up has none."""
        self._wait_for_worker()
        run = threading.Thread(target=self._run, daemon=True)
        run.start()
        looked = seen = time.monotonic()
        try:
            while run.is_alive():
                with answered():
                    time.sleep(_LOOK_UP_SECONDS)
                now = time.monotonic()
                if self._answers:
                    looked = seen = now
                elif now - looked > 1:
                    looked, seen = now, now if self._has_worker() else seen
                yield from self._taken()
                if now - seen > _PATIENCE:
                    raise self._no_worker()
        except KeyboardInterrupt:
            yield from self._taken()
            raise
        yield from self._taken()
        if isinstance(self._error, SetsolverError):
            raise self._error
        if self._error:
            why = f"{type(self._error).__name__}: {' '.join(str(self._error).split())}"
            raise BadInput(
                f"the Dask cluster at {self._address!r} failed ({why}); what was measured is kept; see that its "
                "scheduler runs and that every worker has this setsolver, and scan again"
            ) from self._error

    def _run(self) -> None:
        from dask.distributed import KilledWorker, as_completed  # noqa: PLC0415 - an extra

        todo = iter(self._chunks)
        try:
            flying = as_completed()
            for chunk in islice(todo, _WAITING * max(_WAITING, self._threads())):
                flying.add(self._sent(chunk))
            for future in flying:
                with suppress(KilledWorker):  # workers died over it: it is given up
                    self._answers.append(future.result())
                for chunk in islice(todo, 1):
                    flying.add(self._sent(chunk))
        except Exception as error:  # noqa: BLE001 - raised again where results are waited for
            self._error = error

    def _sent(self, chunk: list[Task]) -> Any:
        return self._client.submit(measure_chunk, chunk, self._factory, pure=False)

    def _threads(self) -> int:
        return int(sum(self._client.ncores().values()))

    def _taken(self) -> Iterator[Result]:
        while self._answers:
            yield from self._answers.popleft()

    def _wait_for_worker(self) -> None:
        end = time.monotonic() + _PATIENCE
        while not self._has_worker():
            if time.monotonic() > end:
                raise self._no_worker()
            with answered():
                time.sleep(_LOOK_UP_SECONDS)

    def _has_worker(self) -> bool:
        with suppress(OSError, TimeoutError):
            return bool(self._client.sync(self._client.scheduler.ncores, callback_timeout=5))
        return False

    def _no_worker(self) -> BadInput:
        return BadInput(
            f"no worker has been at the Dask scheduler {self._address!r} for {_PATIENCE} s; start one, such as "
            f"`dask worker {self._address}`, and scan again"
        )


def _seen_there(result: Result) -> Result:
    """Return a result with the way out that a cluster offers, where a worker could not reach a file."""
    if isinstance(result, RefusedRow) and result.again:
        return replace(result, why=f"a worker says: {result.why} (every worker must see the file under the same path)")
    return result
