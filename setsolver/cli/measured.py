"""What most commands do first: bring the catalog up to date, with a progress bar, and stop a search on Ctrl-C."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

from setsolver.api import Catalog
from setsolver.cli.progress import scanning, working
from setsolver.usecases.effort import Effort

__all__ = ["measured", "solving"]


def measured(folder: Path, workers: int | None = None) -> Catalog:
    """Open a catalog and measure what is new or changed."""
    catalog = Catalog.open(folder)
    with scanning() as progress:
        catalog.scan(progress=progress, workers=workers)
    return catalog


@contextmanager
def solving(time_limit: float | None, seed: int, workers: int | None) -> Iterator[Effort]:
    """Yield an effort that shows score and bound; the first Ctrl-C ends its search with the best set so far."""
    asked = False

    def ask(_number: int, _frame: FrameType | None) -> None:
        nonlocal asked
        if asked:  # a second Ctrl-C means it
            raise KeyboardInterrupt
        asked = True

    before = signal.signal(signal.SIGINT, ask)
    try:
        with working("solving") as progress:
            yield Effort(time_limit, seed, workers, progress=progress, stop=lambda: asked)
    finally:
        signal.signal(signal.SIGINT, before)
