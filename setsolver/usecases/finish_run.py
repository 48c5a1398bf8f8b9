"""Many prints: side by side, in this process or in others, which a decoder may crash without ending the finish."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from typing import Any, Final

from joblib.externals.loky import ProcessPoolExecutor

from setsolver.domain.finish import FinishedPrint
from setsolver.domain.outcome import SetFrame
from setsolver.domain.units import CM_PER_INCH
from setsolver.errors import FrameRefused
from setsolver.interrupts import answered, deaf_children, held
from setsolver.usecases.finish_folder import Folder
from setsolver.usecases.finish_print import Job, make_print
from setsolver.usecases.finish_size import Wish
from setsolver.usecases.measuring import WORKER_ENVIRONMENT, prepare_worker

__all__ = ["Told", "run_apart", "run_here", "side_by_side"]

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


class _Stopped(Exception):  # noqa: N818 - no error, and never seen outside
    """Raised in a thread that is asked to stop."""


def side_by_side(jobs: Sequence[Job], wish: Wish) -> int:
    """Return how many prints fit into the memory that is allowed, at most one a core."""
    largest = max((_bytes_of(job.frame, wish) for job in jobs), default=1)
    return max(1, min(os.cpu_count() or 1, _BUDGET // largest))


def _bytes_of(frame: SetFrame, wish: Wish) -> int:
    inches = frame.position.width_cm * frame.position.height_cm / CM_PER_INCH**2
    return _BYTES_A_PIXEL * frame.width * frame.height + round(_BYTES_A_PIXEL * inches * wish.ppi**2)


def run_here(
    jobs: Sequence[Job], wish: Wish, folder: Folder, workers: int, told: Told, total: int, stop: threading.Event
) -> None:
    """Make prints on threads of this process; Ctrl-C and ``stop`` end them between two tiles; what is whole stays."""
    ended = threading.Event()

    def heed() -> None:
        if ended.is_set() or stop.is_set():
            raise _Stopped

    told("prints", len(folder.prints), total)
    with held(), ThreadPoolExecutor(max(1, workers)) as pool:
        running: dict[Future[FinishedPrint], Job] = {
            pool.submit(make_print, job, wish, folder.out, heed): job for job in jobs
        }
        try:
            _take_all(running, folder, told, total, stop)
        finally:
            ended.set()
            for future in running:
                future.cancel()


def run_apart(
    jobs: Sequence[Job], wish: Wish, folder: Folder, workers: int, told: Told, total: int, stop: threading.Event
) -> None:
    """Make prints in processes; a frame that ends its process is refused, and the others are made all the same.

    Ctrl-C and ``stop`` end the processes; what is whole stays, parts of files are swept by whoever writes next.
    """
    told("prints", len(folder.prints), total)
    if not jobs:
        return
    with held():
        lost = _flight(jobs, wish, folder, workers, told, total, stop)
        for job in lost:  # one at a time: the one whose process ends is to blame
            if not stop.is_set() and _flight([job], wish, folder, 1, told, total, stop):
                folder.refuse(job.number, job.frame.path, _KILLER)


def _flight(
    jobs: Sequence[Job], wish: Wish, folder: Folder, workers: int, told: Told, total: int, stop: threading.Event
) -> list[Job]:
    """Make prints in one pool of processes; return those that were not done when one of them ended."""
    pool = ProcessPoolExecutor(
        min(workers, len(jobs)), initializer=prepare_worker, initargs=(os.getpid(), 0.0), env=WORKER_ENVIRONMENT
    )
    running: dict[Future[FinishedPrint], Job] = {}
    in_time = False
    try:
        with deaf_children():
            for job in jobs:
                running[pool.submit(make_print, job, wish, folder.out)] = job
        _take_all(running, folder, told, total, stop)
        in_time = not stop.is_set()
    except BrokenProcessPool:
        done = {*folder.prints, *(refused.number for refused in folder.refused)}
        return [job for job in jobs if job.number not in done]
    finally:
        pool.shutdown(wait=True, kill_workers=not in_time)
    return []


def _take_all(
    running: Mapping[Future[FinishedPrint], Job], folder: Folder, told: Told, total: int, stop: threading.Event
) -> None:
    """Take in prints as they come, answering Ctrl-C between them."""
    waiting: set[Future[Any]] = set(running)
    while waiting and not stop.is_set():
        with answered():
            done, waiting = wait(waiting, timeout=_TICK, return_when=FIRST_COMPLETED)
        broken = None
        for future in done:
            try:
                folder.add(future.result())
            except FrameRefused as error:
                folder.refuse(running[future].number, running[future].frame.path, str(error))
            except _Stopped:
                continue
            except BrokenProcessPool as error:  # what else is done is taken in first
                broken = error
            told("prints", len(folder.prints), total)
        if broken is not None:
            raise broken
