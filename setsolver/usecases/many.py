"""Many jobs that know nothing of each other: on processes here or on a Dask cluster, a few in flight at a time.

A job is tried again where a worker died under it; one that workers die over alone is given up with that reason. What is
in memory here does not grow with the number of jobs.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, wait
from dataclasses import dataclass
from itertools import islice
from multiprocessing import current_process
from typing import Any, Generic, TypeVar

from joblib.externals.loky import ProcessPoolExecutor
from joblib.externals.loky.process_executor import BrokenProcessPool

from setsolver.errors import SetsolverError
from setsolver.interrupts import answered, held
from setsolver.machine import cores

__all__ = ["Answer", "may_have_children", "run_many"]

Job = TypeVar("Job")
Result = TypeVar("Result")
AHEAD = 2
"""Jobs in flight for each worker."""
DIED = "the worker process that made it ended; see that there is memory enough, and run the same command again"


@dataclass(frozen=True, slots=True)
class Answer(Generic[Job, Result]):
    """A job with what came of it: a result, or why there is none."""

    job: Job
    result: Result | None
    why: str = ""


def may_have_children() -> bool:
    """Return whether this process may start others: a Dask worker may not, unless told (README)."""
    return not current_process().daemon


def run_many(
    work: Callable[[Job], Result], jobs: Iterable[Job], *, workers: int | None = None, cluster: str | None = None
) -> Iterator[Answer[Job, Result]]:
    """Yield an answer to each job as it comes.

    Parameters
    ----------
    work : importable by workers; what it raises of setsolver's own errors, or any other, is the job's reason.
    workers : processes, None = one a core, 0 = none but this one. cluster : address of a Dask scheduler instead.

    Raises
    ------
    BadInput
        Where no scheduler answers.
    """
    if cluster is not None:
        yield from _on_cluster(work, iter(jobs), cluster)
    elif workers == 0:
        for job in jobs:
            yield _guarded(work, job)
    else:
        yield from _on_processes(work, iter(jobs), workers or cores())


def _guarded(work: Callable[[Job], Result], job: Job) -> Answer[Job, Result]:
    """Return what came of a job; nothing that it raises ends the others."""
    try:
        return Answer(job, work(job))
    except SetsolverError as error:
        return Answer(job, None, str(error))
    except Exception as error:  # noqa: BLE001 - one event never ends a batch
        return Answer(job, None, f"{type(error).__name__}: {' '.join(str(error).split())[:300]}")


@dataclass(frozen=True, slots=True)
class Ended(Generic[Job]):
    """What is left where a process died: jobs that were in flight, and those that the pool took no more."""

    lost: list[Job]
    unsent: list[Job]


def _on_processes(work: Callable[[Job], Result], todo: Iterator[Job], workers: int) -> Iterator[Answer[Job, Result]]:
    suspects: deque[Job] = deque()
    with held():
        while True:
            ended: Ended[Job] = Ended([], [])
            yield from _flight(work, todo, workers, ended)
            if not ended.lost and not ended.unsent:
                break
            suspects += ended.lost + ended.unsent
        while suspects:  # one at a time: what is in flight when the worker dies is what killed it
            ended, before = Ended([], []), len(suspects)
            yield from _flight(work, _taken(suspects), 1, ended, ahead=1)
            at_once = len(suspects) == before - 1  # the pool died before it did anything
            for job in ended.lost + ended.unsent * at_once:
                yield Answer(job, None, DIED)
            suspects.extendleft([] if at_once else ended.unsent)


def _taken(jobs: deque[Job]) -> Iterator[Job]:
    while jobs:
        yield jobs.popleft()


def _flight(
    work: Callable[[Job], Result], todo: Iterator[Job], workers: int, ended: Ended[Job], ahead: int = AHEAD
) -> Iterator[Answer[Job, Result]]:
    """Yield answers until all jobs are done or a process dies; what is left then goes into ``ended``."""
    from setsolver.usecases.measuring import (  # noqa: PLC0415 - workers need none of it
        WORKER_ENVIRONMENT,
        end_pool,
        prepare_worker,
    )

    ends_with = (os.getpid(), 0.0)  # no worker goes on once this process is killed
    pool = ProcessPoolExecutor(workers, initializer=prepare_worker, initargs=ends_with, env=WORKER_ENVIRONMENT)
    flying: dict[Future[Answer[Job, Result]], Job] = {}
    in_time = False

    def send(most: int) -> None:
        for job in islice(todo, most):
            try:
                flying[pool.submit(_guarded, work, job)] = job
            except BrokenProcessPool:  # it died since the last answer
                ended.unsent.append(job)
                raise

    try:
        send(ahead * workers)
        while flying:
            with answered():
                done, _ = wait(flying, timeout=0.2, return_when=FIRST_COMPLETED)
            for future in done:
                answer = future.result()
                del flying[future]
                yield answer
                send(1)
        in_time = True
    except BrokenProcessPool:
        ended.lost.extend(flying.values())
    finally:
        end_pool(pool, at_once=not in_time)


def _on_cluster(work: Callable[[Job], Result], todo: Iterator[Job], address: str) -> Iterator[Answer[Job, Result]]:
    """Yield answers from a cluster; Dask itself sends a job elsewhere whose worker died, and at last gives it up."""
    from dask.distributed import KilledWorker, as_completed  # noqa: PLC0415 - an extra

    from setsolver.usecases.cluster import connected  # noqa: PLC0415 - as above

    with connected(address) as client:
        room = AHEAD * max(1, int(sum(client.ncores().values())))
        jobs: dict[str, Any] = {}

        def sent(job: Any) -> Any:
            future = client.submit(_guarded, work, job, pure=False)
            jobs[future.key] = job
            return future

        flying = as_completed([sent(job) for job in islice(todo, room)])
        for future in flying:
            job = jobs.pop(future.key)
            try:
                answer: Answer[Any, Any] = future.result()
            except KilledWorker:
                answer = Answer(job, None, DIED)
            future.release()
            yield answer
            for more in islice(todo, 1):
                flying.add(sent(more))
