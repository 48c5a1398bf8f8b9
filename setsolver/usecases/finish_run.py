"""Many prints: side by side, in this process or in others, which a decoder may crash without ending the finish."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Generator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import closing, suppress
from pathlib import Path
from typing import Any, Final

from joblib.externals.loky import ProcessPoolExecutor

from setsolver.domain.finish import FinishedPrint
from setsolver.domain.outcome import SetFrame
from setsolver.domain.units import CM_PER_INCH
from setsolver.errors import FrameRefused
from setsolver.interrupts import answered, deaf_children, held
from setsolver.machine import one_blas_thread
from setsolver.usecases.finish_folder import Folder
from setsolver.usecases.finish_print import Job, make_print
from setsolver.usecases.finish_size import Wish
from setsolver.usecases.measuring import WORKER_ENVIRONMENT, end_pool, prepare_worker

__all__ = ["Told", "made", "run", "side_by_side"]

_BUDGET: Final = 2_000_000_000
"""Bytes that prints made at the same time may take together."""
_BYTES_A_PIXEL: Final = 14
"""What an original at 8 bits, turned, and the print made of it take; 16 bits take a third more."""
_TICK: Final = 0.2
_KILLER: Final = (
    "it crashes the decoder (the process that made its print ended); open it elsewhere and save it anew, then make the "
    "set again"
)

Told = Callable[[str, int, int], None]
Made = tuple[Job, FinishedPrint | FrameRefused]


class _Stopped(Exception):  # noqa: N818 - no error, and never seen outside
    """Raised in a thread that is asked to stop."""


def side_by_side(jobs: Sequence[Job], wish: Wish) -> int:
    """Return how many prints fit into the memory that is allowed, at most one a core."""
    largest = max((_bytes_of(job.frame, wish) for job in jobs), default=1)
    return max(1, min(os.cpu_count() or 1, _BUDGET // largest))


def _bytes_of(frame: SetFrame, wish: Wish) -> int:
    inches = frame.position.width_cm * frame.position.height_cm / CM_PER_INCH**2
    return _BYTES_A_PIXEL * frame.width * frame.height + round(_BYTES_A_PIXEL * inches * wish.ppi**2)


def run(  # noqa: PLR0913 - what is made, where, how, and who is told
    jobs: Sequence[Job],
    wish: Wish,
    folder: Folder,
    workers: int,
    told: Told,
    total: int,
    stop: threading.Event,
    *,
    apart: bool,
) -> None:
    """Make prints and take them into their folder; Ctrl-C and ``stop`` end it, and what is whole stays."""

    def heed() -> None:
        if stop.is_set():
            raise _Stopped

    told("prints", len(folder.prints), total)
    with held(), suppress(_Stopped), closing(made(jobs, wish, folder.out, workers, heed, apart=apart)) as coming:
        for job, one in coming:
            if isinstance(one, FrameRefused):
                folder.refuse(job.number, job.frame.path, str(one))
            else:
                folder.add(one)
            told("prints", len(folder.prints), total)


def made(
    jobs: Sequence[Job], wish: Wish, out: Path, workers: int, heed: Callable[[], None], *, apart: bool
) -> Generator[Made]:
    """Make prints side by side; yield each as it comes, or why its frame is refused. To be closed where left early.

    Parameters
    ----------
    heed : called while waiting, and on threads between two tiles; what it raises ends the work.
    apart : in processes instead of threads: a frame that ends its process is refused, and the others are made all the
    same. Parts of files that a process leaves behind are swept by whoever writes next.
    """
    if not jobs:
        return
    if not apart:
        yield from _here(jobs, wish, out, workers, heed)
        return
    lost = yield from _flight(jobs, wish, out, min(workers, len(jobs)), heed)
    for job in lost:  # one at a time: the one whose process ends is to blame
        if (yield from _flight([job], wish, out, 1, heed)):
            yield job, FrameRefused(_KILLER)


def _here(jobs: Sequence[Job], wish: Wish, out: Path, workers: int, heed: Callable[[], None]) -> Generator[Made]:
    ended = threading.Event()

    def heeding() -> None:
        if ended.is_set():
            raise _Stopped
        heed()

    # What is fitted for a print is small: further threads of linear algebra would run in circles between two calls.
    with one_blas_thread(), ThreadPoolExecutor(max(1, workers)) as pool:
        running = {pool.submit(make_print, job, wish, out, heeding): job for job in jobs}
        try:
            yield from _as_they_come(running, heed)
        finally:
            ended.set()
            for future in running:
                future.cancel()


def _flight(
    jobs: Sequence[Job], wish: Wish, out: Path, workers: int, heed: Callable[[], None]
) -> Generator[Made, None, list[Job]]:
    """Make prints in one pool of processes; return those that were not done when one of them ended."""
    pool = ProcessPoolExecutor(workers, initializer=prepare_worker, initargs=(os.getpid(), 0.0), env=WORKER_ENVIRONMENT)
    left = {id(job): job for job in jobs}
    in_time = False
    try:
        with deaf_children():
            running = {pool.submit(make_print, job, wish, out): job for job in jobs}
        for job, one in _as_they_come(running, heed):
            del left[id(job)]
            yield job, one
        in_time = True
    except BrokenProcessPool:
        return list(left.values())
    finally:
        end_pool(pool, at_once=not in_time)
    return []


def _as_they_come(running: Mapping[Future[FinishedPrint], Job], heed: Callable[[], None]) -> Generator[Made]:
    """Yield prints as they come, answering Ctrl-C between them."""
    waiting: set[Future[Any]] = set(running)
    while waiting:
        heed()
        with answered():
            done, waiting = wait(waiting, timeout=_TICK, return_when=FIRST_COMPLETED)
        broken = None
        for future in done:
            try:
                one: FinishedPrint | FrameRefused = future.result()
            except FrameRefused as error:
                one = error
            except BrokenProcessPool as error:  # what else is done is taken in first
                broken = error
                continue
            yield running[future], one
        if broken is not None:
            raise broken
