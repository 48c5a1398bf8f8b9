"""Bring the index of a folder up to date: measure what is new or changed, forget what is gone."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from itertools import starmap
from pathlib import Path
from shlex import quote
from types import MappingProxyType

from setsolver.catalog.listing import Listed, Listing, listing
from setsolver.catalog.records import Known, Measured, RefusedRow, Retold
from setsolver.catalog.store import Store
from setsolver.domain.clock import WORTHLESS, checked_clock
from setsolver.domain.corrections import MEASURED
from setsolver.domain.measures import Measures
from setsolver.domain.origin import due, later
from setsolver.domain.snapshot import Refused
from setsolver.errors import BadInput, SetsolverError
from setsolver.interrupts import held
from setsolver.machine import cores
from setsolver.usecases.grouping import regroup
from setsolver.usecases.index import open_index
from setsolver.usecases.tasks import (
    EVERYTHING,
    QUICK_VERSION,
    READ,
    VERSION,
    Factory,
    Result,
    Results,
    Task,
    needs_pixels,
)

__all__ = ["Progress", "ScanReport", "scan"]

Progress = Callable[[str, int, int], None]
"""Told what is being done ("measuring", "grouping"), how much of it is done, and how much there is."""
_NOTHING: Mapping[str, str] = MappingProxyType({})
_BATCH = 64
_BATCH_SECONDS = 2.0
"""Rows are written when so many wait, or when the first has waited so long; a killed scan loses no more."""


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


@dataclass(frozen=True, slots=True)
class _Plan:
    tasks: tuple[Task, ...]
    known: dict[str, Known]
    kept: int
    unseen: int
    gone: tuple[str, ...]
    closed: tuple[RefusedRow, ...]


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
        plan = _planned(found, store, force=force, quick=quick)
        if plan.gone:
            store.forget(plan.gone)
        store.write((), plan.closed)
        new = changed = same = lost = 0
        if plan.tasks:
            new, changed, same, lost = _written(
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


def _planned(found: Listing, store: Store, *, force: bool, quick: bool) -> _Plan:
    known, refused = store.known(), store.known_refused()
    turns = {path: int(said["turn"]) for path, said in store.corrections().items() if "turn" in said}
    tasks: list[Task] = []
    kept = 0
    for listed in found.frames:
        old = known.get(listed.path)
        out = refused.get(listed.path)
        turn = turns.get(listed.path, 0)
        if not force and old is not None and old.turn == turn and _same(old, listed) and not _due(old, quick=quick):
            kept += 1
        elif not force and out is not None and _still_refused(out, listed):
            continue
        else:
            task = Task(listed, VERSION, turn=turn, quick=quick).whole()
            tasks.append(task if force else _partly(task, old))
    shut = [RefusedRow(out.path, Known(0, 0, "", VERSION), out.why, again=True) for out in found.closed]
    closed = tuple(row for row in shut if refused.get(row.path) != row)
    gone = _gone(found, [*known, *refused])
    away = known.keys() - {listed.path for listed in found.frames} - {*gone, *(out.path for out in closed)}
    unseen = sum(known[path].version in READ for path in away)
    return _Plan(tuple(tasks), known, kept, unseen, gone, closed)


def _same(known: Known, listed: Listed) -> bool:
    return known == replace(known, size=listed.size, mtime_ns=listed.mtime_ns, stamp=listed.stamp)


def _still_refused(out: RefusedRow, listed: Listed) -> bool:
    return _same(out.known, listed) and out.known.version in READ and not (out.again and _reachable(listed))


def _due(known: Known, *, quick: bool) -> frozenset[str]:
    """Return what of a frame is measured again because features have changed; all that is left for later may wait."""
    old = due(Measures, known.version)
    return frozenset() if quick and known.version in READ else old


def _partly(task: Task, old: Known | None) -> Task:
    """Return what is to be done about a file that is new, changed, turned, or measured by other versions."""
    if old is None or old.turn != task.turn:
        return task
    again = _due(old, quick=task.quick)
    if not again:
        return replace(task, digest=old.digest)
    if again == EVERYTHING or not _same(old, task.listed):
        return task
    version = QUICK_VERSION if task.quick and again & later(Measures) else VERSION
    names = again - later(Measures) if task.quick else again
    return replace(task, version=version, digest=old.digest, due=names)


def _reachable(listed: Listed) -> bool:
    """Tell whether a file that was out of reach can be opened now, which is cheaper than to start a worker for it."""
    try:
        with listed.file.open("rb"):
            return True
    except OSError:
        return False


def _gone(found: Listing, paths: Iterable[str]) -> tuple[str, ...]:
    """Return the paths that are not in the folder any more; what lies in a folder closed to us may still be there."""
    here = {listed.path for listed in found.frames} | {out.path for out in found.closed}
    closed = tuple(f"{out.path}/" if out.path else "" for out in found.closed)  # "" : the folder of all
    return tuple(path for path in paths if path not in here and not path.startswith(closed))


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
        elif (known := store.measures(task.listed.path, task.due)) is not None:
            yield replace(task, known=known)


def _written(results: Results, plan: _Plan, store: Store, tell: Progress) -> tuple[int, int, int, int]:
    """Write results in batches; return how many frames are new, changed, the same but for their time, and kept unread.

    Ctrl-C strikes where results are waited for, and ends the workers; what is measured is written first.
    """
    new = changed = same = lost = 0
    listed = {task.listed.path: task.listed for task in plan.tasks}
    with held(), closing(results):
        for measured, refused in _batches(results, len(plan.tasks), tell):
            out = [row for row in refused if not _kept(row, listed[row.path], plan.known.get(row.path))]
            store.write(measured, out)
            lost += len(refused) - len(out)
            for row in measured:
                new += row.path not in plan.known
                changed += row.path in plan.known and row.measures is not None
                same += row.measures is None
    return new, changed, same, lost


def _kept(row: RefusedRow, listed: Listed, known: Known | None) -> bool:
    """Tell whether a frame keeps its measures: it is here, but whoever was to measure it could not reach it."""
    return row.again and known is not None and known.version in READ and _reachable(listed)


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


def _batches(
    results: Results, total: int, tell: Progress
) -> Iterator[tuple[list[Measured | Retold], list[RefusedRow]]]:
    """Yield results in batches to write; what is in hand is yielded even when the scan is stopped."""
    batch: list[Result] = []
    first = time.monotonic()
    try:
        for done, result in enumerate(results, 1):
            first = first if batch else time.monotonic()
            batch.append(result)
            tell("measuring", done, total)
            if len(batch) >= _BATCH or time.monotonic() - first >= _BATCH_SECONDS:
                ready, batch = batch, []
                yield _sorted_out(ready)
    except (KeyboardInterrupt, SetsolverError):
        yield _sorted_out(batch)
        raise
    yield _sorted_out(batch)


def _sorted_out(batch: list[Result]) -> tuple[list[Measured | Retold], list[RefusedRow]]:
    measured = [result for result in batch if not isinstance(result, RefusedRow)]
    return measured, [result for result in batch if isinstance(result, RefusedRow)]


def _silent(what: str, done: int, total: int) -> None:
    """Say nothing."""
