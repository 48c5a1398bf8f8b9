"""What most commands do first: bring the catalog up to date, with a progress bar, and stop a search on Ctrl-C."""

from __future__ import annotations

import signal
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from setsolver.cli.progress import scanning, waiting, working
from setsolver.cli.said import printable
from setsolver.errors import NoFrames

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path
    from types import FrameType

    from setsolver.api import Catalog
    from setsolver.usecases.effort import Effort
    from setsolver.usecases.warming import Warming

__all__ = ["measured", "solving"]

SOON = 1.5
"""Seconds that reading the compiled solver from disk may take without a word."""


def measured(folder: Path, workers: int | None = None) -> Catalog:
    """Open a catalog and measure what is new or changed.

    Raises
    ------
    NoFrames
        Where it holds nothing that could be measured, with the first reason.
    """
    from setsolver.api import Catalog
    from setsolver.usecases.warming import Warming

    catalog = Catalog.open(folder)
    warming = Warming()
    with scanning() as progress:
        report = catalog.scan(progress=progress, workers=workers)
    if report.frames == 0:
        why = f" ({printable(report.refused[0].path)}: {report.refused[0].why})" if report.refused else ""
        raise NoFrames(f"nothing in {str(folder)!r} could be read as a photograph{why}; name a folder of photographs")
    _prepare(warming)
    return catalog


def _prepare(warming: Warming) -> None:
    """Wait until the solver is compiled, and say so where that takes long: it is no part of the time of solving."""
    if warming.wait(SOON) < SOON:
        return
    with waiting("compiling the solver (once after installing, about ten seconds)"):
        took = SOON + warming.wait()
    click.echo(f"compiled the solver in {took:.0f} s, once after installing; not counted as time of solving", err=True)


@contextmanager
def solving(time_limit: float | None, seed: int, workers: int | None, work: float = 1.0) -> Iterator[Effort]:
    """Yield an effort that shows score and bound; the first Ctrl-C ends its search with the best set so far."""
    from setsolver.usecases.effort import Effort
    from setsolver.usecases.warming import Warming

    _prepare(Warming())
    asked = False

    def ask(_number: int, _frame: FrameType | None) -> None:
        nonlocal asked
        if asked:  # a second Ctrl-C means it
            raise KeyboardInterrupt
        asked = True

    before = signal.signal(signal.SIGINT, ask)
    try:
        with working("solving") as progress:
            yield Effort(time_limit, seed, workers, progress=progress, stop=lambda: asked, work=work)
    finally:
        signal.signal(signal.SIGINT, before)
