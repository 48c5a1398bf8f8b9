"""joblib's Dask backend, but with an end to every task (needs the extra ``cluster``)."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from dask.distributed import KilledWorker
from joblib._dask import DaskDistributedBackend

__all__ = ["Backend"]


class Backend(DaskDistributedBackend):  # type: ignore[misc]  # joblib has no types
    """A task that workers died over has the result None; any other failure of the cluster is raised by ``Parallel``.

    Needs ``batch_size=1``. joblib 1.6 hears of neither, nor of a result that died with its worker before it was
    fetched, and ``Parallel`` waits for ever (``DaskDistributedBackend._collect`` calls back with results alone). And
    where a cluster has one core, joblib does the work in the process that asks.
    """

    def effective_n_jobs(self, n_jobs: int) -> int:
        """Return how many threads workers have, or 2: with 1, joblib would not ask them at all."""
        threads: int = super().effective_n_jobs(n_jobs)
        return max(2, threads)

    def submit(self, func: Any, callback: Callable[[Any], None]) -> Any:
        """Send a task; ``callback`` is told its future when it has ended, however it has."""
        ((work, given, named),) = func.items
        future = self.client.submit(work, *given, **named, pure=False)
        future.add_done_callback(callback)
        return future

    def retrieve_result_callback(self, out: Any) -> list[Any]:
        """Return the results of a batch, which is one task, or raise its failure."""
        try:
            return [out.result()]
        except KilledWorker:
            return [None]
