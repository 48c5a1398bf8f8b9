"""Results of a scan written to the index as they come, in batches, so that a killed scan loses little."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import closing

from setsolver.catalog.pairing import Listed
from setsolver.catalog.records import Known, Measured, RefusedRow, Retold
from setsolver.catalog.store import Store
from setsolver.errors import SetsolverError
from setsolver.interrupts import held
from setsolver.usecases.scan_plan import Plan, reachable
from setsolver.usecases.tasks import READ, Result, Results

__all__ = ["Progress", "written"]

Progress = Callable[[str, int, int], None]
"""Told what is being done ("measuring", "grouping", "scenes"), how much of it is done, and how much there is."""
_BATCH = 64
_BATCH_SECONDS = 2.0
"""Rows are written when so many wait, or when the first has waited so long; a killed scan loses no more."""


def written(results: Results, plan: Plan, store: Store, tell: Progress) -> tuple[int, int, int, int]:
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
    return row.again and known is not None and known.version in READ and reachable(listed)


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
