"""Measuring listed files: one file, and many of them here, in worker processes, or on a cluster."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Iterable, Iterator
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from dataclasses import replace
from itertools import islice
from queue import Empty, SimpleQueue
from typing import Any

import cv2
import numpy as np
from joblib.externals.loky import ProcessPoolExecutor
from numpy.typing import NDArray

from setsolver.catalog.limits import TIME_VARIABLE, most_seconds
from setsolver.catalog.reader import content_hash, read, read_shot
from setsolver.catalog.records import Known, Measured, RefusedRow, Retold
from setsolver.domain.measures import Measures
from setsolver.domain.origin import later
from setsolver.errors import FrameOutOfReach, FrameRefused
from setsolver.interrupts import answered, deaf_children
from setsolver.usecases.guards import OUT_OF_TIME, limit_memory, silence, timed
from setsolver.usecases.tasks import EVERYTHING, Factory, Measurer, Result, Results, Task, needs_pixels

__all__ = [
    "WORKER_ENVIRONMENT",
    "end_pool",
    "features",
    "killer",
    "load_guarded",
    "measure_chunk",
    "measure_files",
    "measure_guarded",
    "measure_here",
    "measure_task",
    "prepare_worker",
]

_CHUNK = 2
"""Frames that a worker takes at a time: half as many messages, which cost most of a millisecond each, as by one."""
_WAITING = 4
"""Chunks in flight for each worker; more would only fill memory."""


def features() -> Measurer:
    """Return the measuring of ``setsolver.features``, all that it reads loaded, CLIP aside."""
    from setsolver.features.measure import Models, measure  # noqa: PLC0415 - only where frames are measured

    models = Models.load()

    def measurer(
        rgb: NDArray[np.uint8] | None, known: Measures | None = None, due: frozenset[str] = EVERYTHING
    ) -> Measures:
        return measure(rgb, models=models, known=known, names=due)

    quick = EVERYTHING - later(Measures)
    measurer(np.zeros((64, 64, 3), np.uint8), due=quick)  # loads what is only loaded when it is first needed
    return measurer


def measure_task(task: Task, measurer: Measurer) -> Result:
    """Return a file's row; any failure is a refusal with its reason, never an exception."""
    listed = task.listed
    known = Known(listed.size, listed.mtime_ns, listed.stamp, task.version, turn=task.turn)
    try:
        if task.known is not None and not needs_pixels(task.due):
            return Retold(listed.path, task.version, measurer(None, task.known, task.due))
        digest = content_hash(listed.file, listed.companion)
        if digest == task.digest and task.known is None:
            shot = read_shot(listed.file, listed.companion, listed.sidecar)
            return Measured(listed.path, replace(known, digest=digest), 0, 0, shot, "", measures=None)
        if digest != task.digest:
            task = task.whole()
        reading = read(listed.file, listed.companion, listed.sidecar, turn=task.turn)
        measures = measurer(reading.rgb, task.known, task.due - _SAID if task.turn else task.due)
    except FrameRefused as error:
        return RefusedRow(listed.path, known, _line(error), again=isinstance(error, FrameOutOfReach))
    except Exception as error:  # noqa: BLE001 - no file of any kind ends a scan
        return RefusedRow(listed.path, known, f"it cannot be measured ({type(error).__name__}: {_line(error)})")
    known = replace(known, digest=digest, version=task.version)
    return Measured(listed.path, known, reading.width, reading.height, reading.shot, reading.note, measures)


_SAID = frozenset({"upright"})
"""What the user's word about a frame's turn tells, and three more looks at the frame would only guess."""


def _line(error: Exception) -> str:
    """Return an error's words in one line: some decoders end theirs with a line of their own."""
    return " ".join(str(error).split()).replace(" ); ", "); ")


def measure_here(tasks: Iterable[Task], factory: Factory) -> Results:
    """Measure one after the other in this process."""
    with answered():
        measurer = factory()
    for task in tasks:
        with answered():
            result = measure_task(task, measurer)
        yield result


def measure_files(tasks: Iterable[Task], factory: Factory, workers: int) -> Results:
    """Measure in worker processes, results as they come; a file that kills its worker is refused, the rest go on.

    To be run where Ctrl-C is ``held``. When it strikes, what workers have answered still comes before it is raised.
    Workers are joblib's: they do not run the caller's main module again, so a script needs no guard around a scan.
    """
    todo, suspects = iter(tasks), list[Task]()
    while True:
        flight = _Flight(todo, factory, workers, _CHUNK)
        yield from flight.results()
        suspects += flight.lost
        if not flight.lost:
            break
    while suspects:  # one at a time: what is in flight when the worker dies is what killed it
        flight = _Flight(iter(suspects), factory, 1, 1)
        yield from flight.results()
        for task in flight.lost[:1]:
            yield killer(task, out_of_time=flight.out_of_time())
        suspects = suspects[flight.started :] if flight.lost else []


class _Flight:
    """Chunks of tasks in one pool of processes, until they are done or a process dies.

    lost : tasks taken but not answered when a process died. started : tasks taken.
    """

    def __init__(self, todo: Iterator[Task], factory: Factory, workers: int, chunk: int) -> None:
        self._todo, self._factory, self._workers, self._chunk = todo, factory, workers, chunk
        self._flying: dict[Future[list[Result]], list[Task]] = {}
        self._answers = SimpleQueue[Future[list[Result]]]()
        self._processes: tuple[Any, ...] = ()
        self.lost: list[Task] = []
        self.started = 0

    def results(self) -> Iterator[Result]:
        """Yield results as they come; the pool ends with the generator, at once if that is closed early."""
        given = os.getpid(), most_seconds()
        pool = ProcessPoolExecutor(self._workers, initializer=prepare_worker, initargs=given, env=WORKER_ENVIRONMENT)
        in_time = False
        try:
            for _ in range(1 if self._chunk == 1 else _WAITING * self._workers):
                self._submit(pool)
            while self._flying:
                with answered():
                    future = self._answers.get()
                results = future.result()
                del self._flying[future]
                yield from results
                self._submit(pool)
            in_time = True
        except KeyboardInterrupt:
            for future in self._flying:
                if future.done() and not future.exception():
                    yield from future.result()
            raise
        except BrokenProcessPool:
            self.lost += [task for chunk in self._flying.values() for task in chunk]
        finally:
            end_pool(pool, at_once=not in_time)

    def out_of_time(self) -> bool:
        """Tell whether a process was ended because a file took it too long."""
        return OUT_OF_TIME is not None and any(process.exitcode == OUT_OF_TIME for process in self._processes)

    def _submit(self, pool: ProcessPoolExecutor) -> None:
        chunk = list(islice(self._todo, self._chunk))
        self.started += len(chunk)
        if not chunk:
            return
        try:
            with deaf_children():
                future = pool.submit(measure_guarded, chunk, self._factory)
            self._processes = tuple(pool._processes.values())  # noqa: SLF001 - their exit codes are nowhere else
        except BrokenProcessPool:
            self.lost += chunk
            raise
        self._flying[future] = chunk
        future.add_done_callback(self._answers.put)


def end_pool(pool: ProcessPoolExecutor, *, at_once: bool) -> None:
    """End the processes of a pool, once what they do is done or at once."""
    if at_once:  # its thread would fail on work that it gives up and then looks up (KeyError; joblib 1.6)
        with suppress(Empty):
            while True:
                pool._work_ids.get_nowait()  # noqa: SLF001 - nothing public takes work back without a mark left
    pool.shutdown(wait=True, kill_workers=at_once)


_LOOK_UP_SECONDS = 0.5
_ONE_THREAD = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")
"""Frames run in parallel; threads within a frame would only fight over the same cores."""
_KEEP_MEMORY = {
    "glibc.malloc.mmap_threshold": 32 << 20,
    "glibc.malloc.trim_threshold": 128 << 20,
    "glibc.malloc.hugetlb": 1,
}
"""Arrays of a few megabytes come and go hundreds of times a frame. Left to itself, glibc gives each back to the
system and asks for it again page by page, which costs a tenth of the time. Other C libraries ignore this."""
WORKER_ENVIRONMENT = _ONE_THREAD | {"GLIBC_TUNABLES": ":".join(f"{name}={n}" for name, n in _KEEP_MEMORY.items())}
"""Variables under which workers start."""


_seconds_of_this_worker = 0.0
"""Time that a file may take; set when the worker starts."""


def prepare_worker(parent: int, seconds: float) -> None:
    """Prepare a worker: Ctrl-C is the parent's to answer, one frame uses one core, and no worker outlives its scan.

    parent : process id of the scan, which may be gone already. seconds : that a file may take.
    """
    global _seconds_of_this_worker  # noqa: PLW0603 - a pool's initializer has no other way to leave something
    _seconds_of_this_worker = seconds
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    silence()
    cv2.setNumThreads(1)
    threading.Thread(target=_end_with, args=(parent,), daemon=True).start()


def _end_with(parent: int) -> None:
    """End this process once its parent is gone; a worker of a killed scan would wait for work for ever."""
    while os.getppid() == parent:  # on Windows it never changes, and handles close with the parent
        time.sleep(_LOOK_UP_SECONDS)
    os._exit(1)


def load_guarded(factory: Factory) -> None:
    """Load all that frames are measured with in a worker of our own, what is only loaded when first needed too."""
    _made_guarded(factory)(np.zeros((64, 64, 3), np.uint8))


def _made_guarded(factory: Factory) -> Measurer:
    made: dict[Any, Measurer] = _of_this_thread.__dict__
    new = factory not in made
    measurer = _made(factory)
    if new:
        limit_memory()
    return measurer


def measure_guarded(chunk: list[Task], factory: Factory) -> list[Result]:
    """Measure a few files in a worker of our own, each within the memory and the time that a file may take."""
    measurer = _made_guarded(factory)
    found = []
    for task in chunk:
        with timed(_seconds_of_this_worker):
            found.append(measure_task(task, measurer))
    return found


def measure_chunk(chunk: list[Task], factory: Factory) -> list[Result]:
    """Measure a few files in a worker of a cluster; the measurer is made once a thread."""
    measurer = _made(factory)
    return [measure_task(task, measurer) for task in chunk]


_of_this_thread = threading.local()
_making = threading.Lock()
"""NumPy reads the heads of arrays by ``ast``, which fails at times in threads at once (CPython 3.11, SystemError)."""


def _made(factory: Factory) -> Measurer:
    """Return this thread's measurer: a network must not be shared, and Dask's workers have several threads."""
    made: dict[Any, Measurer] = _of_this_thread.__dict__
    if factory not in made:
        with _making:
            made[factory] = factory()
    return made[factory]


def killer(task: Task, *, out_of_time: bool = False) -> RefusedRow:
    """Return the refusal of a file that workers die over, or that takes them longer than a file may take."""
    listed = task.listed
    known = Known(listed.size, listed.mtime_ns, listed.stamp, task.version)
    why = "it crashes the decoder (the worker process ended); save it anew or leave it out"
    if out_of_time:
        why = (
            f"it takes longer than the {most_seconds():g} s that one file may take; save it anew, or raise "
            f"{TIME_VARIABLE} and scan --again"
        )
    return RefusedRow(listed.path, known, why)
