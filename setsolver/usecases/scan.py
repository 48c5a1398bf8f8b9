"""Bring the index of a folder up to date: measure what is new or changed, forget what is gone."""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import starmap
from pathlib import Path
from shlex import quote
from types import MappingProxyType

from setsolver.catalog.listing import listing
from setsolver.catalog.store import Store
from setsolver.domain.clock import WORTHLESS, checked_clock
from setsolver.domain.corrections import MEASURED
from setsolver.domain.snapshot import Refused
from setsolver.errors import BadInput
from setsolver.machine import cores
from setsolver.usecases.grouping import regroup
from setsolver.usecases.index import open_index
from setsolver.usecases.scan_plan import planned
from setsolver.usecases.scan_write import Progress, written
from setsolver.usecases.tasks import (
    QUICK_VERSION,
    Factory,
    Results,
    Task,
    needs_pixels,
)

__all__ = ["Progress", "ScanReport", "scan"]

_NOTHING: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class ScanReport:
    """Frames by what became of them; refused files with reasons; remarks, such as clocks that disagree.

    unseen : frames kept although the folder they lie in could not be listed. unread : extensions of pictures of
    formats that are not read, in order, and how many files have them.
    """

    new: int
    changed: int
    unchanged: int
    removed: int
    refused: tuple[Refused, ...]
    seconds: float
    remarks: tuple[str, ...] = ()
    unseen: int = 0
    unread: tuple[tuple[str, int], ...] = ()

    @property
    def frames(self) -> int:
        """How many frames the catalog has now."""
        return self.new + self.changed + self.unchanged + self.unseen


def scan(  # noqa: PLR0913 - all that a scan may be told, by name
    folder: Path,
    *,
    workers: int | None = None,
    progress: Progress | None = None,
    cluster: str | None = None,
    force: bool = False,
    quick: bool = False,
    clocks: Mapping[str, str] = _NOTHING,
    factory: Factory | None = None,
) -> ScanReport:
    """Measure new and changed frames of a folder and write them to its index; nothing else is written anywhere.

    Parameters
    ----------
    workers : processes; None = one a core, 0 = measure in this process.
    progress : told how far the scan is. cluster : address of a Dask scheduler whose workers see the same files.
    force : measure unchanged frames again too. quick : leave for a later scan what ``Measures`` says takes long.
    clocks : what is to be kept of cameras' clocks, by the cameras' names, as ``domain.clock.checked_clock`` takes it.
    factory : makes what measures pixels; None = the features of setsolver.

    Raises
    ------
    BadInput
        Where the folder cannot be listed, no index can be written, ``workers`` is negative, a clock cannot be set so,
        or no frame is by its camera (all frames are measured by then).
    CatalogBusy
        Where another scan of the folder is running.
    """
    start = time.monotonic()
    if workers is not None and workers < 0:
        raise BadInput(f"{workers} workers cannot measure anything; give 0 (this process) or more")
    tell = progress or _silent
    said_clocks = {camera: checked_clock(said) for camera, said in clocks.items()}
    with open_index(folder) as store, store.scanning():
        here = folder if folder.is_absolute() else folder.resolve()  # workers of a cluster are started elsewhere
        found = listing(here)
        plan = planned(found, store, force=force, quick=quick)
        if plan.gone:
            store.forget(plan.gone)
        store.write((), plan.closed)
        new = changed = same = lost = 0
        if plan.tasks:
            new, changed, same, lost = written(
                _measured(plan.tasks, store, factory, workers, cluster), plan, store, tell
            )
        removed = sum(path in plan.known for path in plan.gone)
        kept, unseen, unread, said = plan.kept + same + lost, plan.unseen, found.unread, found.remarks
        del plan, found  # they grow with the catalog, and so does what grouping needs
        moved = map(_moved, store.carry_corrections())
        if said_clocks:
            store.set_clocks(said_clocks)
        remarks = (
            *said,
            *store.notes,
            *_of_lost(lost),
            *_of_later(store.count(QUICK_VERSION)),
            *moved,
            *starmap(_of_clock, store.clocks().items()),
            *regroup(store, tell),
        )
        seconds = time.monotonic() - start
        return ScanReport(new, changed, kept, removed, store.refused(), seconds, remarks, unseen, unread)


def _moved(paths: tuple[str, str]) -> str:
    return f"{paths[1]!r} has the content that {paths[0]!r} had, and is corrected as that was"


def _of_clock(camera: str, clock: str) -> str:
    """Say what the user said of a camera's clock, as long as it counts."""
    what = {WORTHLESS: "are left out", "0h": "are right"}.get(clock, f"are moved by {clock}")
    return f"times of {camera!r} {what}, as you said; scan --clock {quote(f'{camera}={MEASURED}')} takes it back"


def _measured(
    tasks: Sequence[Task], store: Store, factory: Factory | None, workers: int | None, cluster: str | None
) -> Results:
    from setsolver.usecases.measuring import features, measure_files, measure_here  # noqa: PLC0415 - loads long

    factory = factory or features
    if cluster is not None:
        from setsolver.usecases.cluster import measure_on_cluster  # noqa: PLC0415 - an extra

        here = [task for task in tasks if _partial(task) and not needs_pixels(task.due)]
        there = [task.whole() if _partial(task) else task for task in tasks if task not in here]
        if here:  # making a measurer takes seconds
            yield from measure_here(_with_known(here, store), factory)
        yield from measure_on_cluster(there, factory, cluster)
    elif workers == 0:
        yield from measure_here(_with_known(tasks, store), factory)
    else:
        count = min(workers or cores(), len(tasks))
        yield from measure_files(_with_known(tasks, store), factory, count)


def _partial(task: Task) -> bool:
    return bool(task.digest) and task.due != task.whole().due


def _with_known(tasks: Iterable[Task], store: Store) -> Iterator[Task]:
    """Yield tasks with what was measured before, read when they are taken: all of a large catalog fill the memory."""
    for task in tasks:
        if not _partial(task):
            yield task
        elif (known := store.measures(task.listed.path, task.due | task.left, task.older)) is not None:
            yield replace(task, known=known)


def _of_lost(count: int) -> tuple[str, ...]:
    if not count:
        return ()
    what = "1 frame keeps the measures it had" if count == 1 else f"{count} frames keep the measures they had"
    return (f"{what}: out of reach while measured, by workers of a cluster or for want of memory; scan --again",)


def _of_later(count: int) -> tuple[str, ...]:
    if not count:
        return ()
    what = "1 frame was" if count == 1 else f"{count} frames were"
    said = (
        f"{what} measured quickly: content and appeal are left for a scan without --fast, and scenes rest on likeness, "
        "colour and time until then"
    )
    return (said,)


def _silent(what: str, done: int, total: int) -> None:
    """Say nothing."""
