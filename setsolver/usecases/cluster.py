"""Measuring on a Dask cluster through joblib (the extra ``cluster``)."""

from __future__ import annotations

from collections.abc import Sequence

from setsolver.errors import BadInput
from setsolver.interrupts import answered
from setsolver.usecases.measuring import measure_chunk
from setsolver.usecases.tasks import Factory, Results, Task

__all__ = ["measure_on_cluster"]

_CHUNK = 4
_TIMEOUT = "10s"


def measure_on_cluster(tasks: Sequence[Task], factory: Factory, address: str) -> Results:
    """Measure on the workers of a Dask scheduler, results as they come; rows are still written here.

    Every worker must see the photographs under the same path and have setsolver installed.

    Raises
    ------
    BadInput
        Where the extra is not installed or the scheduler does not answer.
    """
    try:
        from dask.distributed import Client  # noqa: PLC0415 - an extra
        from joblib import Parallel, delayed, parallel_config  # noqa: PLC0415 - only with that extra
    except ImportError as error:
        raise BadInput("--cluster needs the extra 'cluster'; install it: pip install 'setsolver[cluster]'") from error
    try:
        client = Client(address, timeout=_TIMEOUT)
    except (OSError, ValueError, TimeoutError) as error:
        raise BadInput(
            f"no Dask scheduler answers at {address!r} ({error}); give its address, such as tcp://host:8786"
        ) from error
    chunks = [tasks[start : start + _CHUNK] for start in range(0, len(tasks), _CHUNK)]
    with client, parallel_config(backend="dask", wait_for_workers_timeout=10):
        jobs = (delayed(measure_chunk)(list(chunk), factory) for chunk in chunks)
        answers = Parallel(return_as="generator_unordered", batch_size=1)(jobs)
        while True:
            with answered():
                results = next(answers, None)
            if results is None:
                return
            yield from results
