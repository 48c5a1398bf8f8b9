"""What a scan has to do about each file of a folder: nothing, measure it whole or in part, or forget it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from setsolver.catalog.listing import Listing
from setsolver.catalog.pairing import Listed
from setsolver.catalog.records import Known, RefusedRow
from setsolver.catalog.store import Store
from setsolver.domain.measures import Measures
from setsolver.domain.origin import due, later, waiting
from setsolver.usecases.tasks import EVERYTHING, QUICK_VERSION, READ, VERSION, Task

__all__ = ["Plan", "planned", "reachable"]


@dataclass(frozen=True, slots=True)
class Plan:
    """What is to be done.

    tasks : files to measure. known : what the index knows, by path. kept : frames that stay as they are. unseen : those
    whose folder could not be listed. gone : paths to forget. closed : folders and files that could not be reached.
    """

    tasks: tuple[Task, ...]
    known: dict[str, Known]
    kept: int
    unseen: int
    gone: tuple[str, ...]
    closed: tuple[RefusedRow, ...]


def planned(found: Listing, store: Store, *, force: bool, quick: bool) -> Plan:
    """Return what a scan of what was found has to do; force and quick as in ``scan.scan``."""
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
    return Plan(tuple(tasks), known, kept, unseen, gone, closed)


def _same(known: Known, listed: Listed) -> bool:
    return known == replace(known, size=listed.size, mtime_ns=listed.mtime_ns, stamp=listed.stamp)


def _still_refused(out: RefusedRow, listed: Listed) -> bool:
    return _same(out.known, listed) and out.known.version in READ and not (out.again and reachable(listed))


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
    left = again & later(Measures) if task.quick else frozenset()
    older = again & waiting(Measures, left)
    version = QUICK_VERSION if left else VERSION
    return replace(task, version=version, digest=old.digest, due=again - left - older, left=left, older=older)


def reachable(listed: Listed) -> bool:
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
