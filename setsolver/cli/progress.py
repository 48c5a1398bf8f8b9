"""Progress on a terminal: a bar with rate and time left while scanning, a line with score and bound while solving.

Everything goes to stderr, and nothing at all where that is no terminal.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from rich.console import Console
from rich.progress import (
    BarColumn,
    MofNCompleteColumn,
    Progress,
    ProgressColumn,
    Task,
    TaskID,
    TextColumn,
    TimeRemainingColumn,
)
from rich.text import Text

from setsolver.cli.streams import plain

if TYPE_CHECKING:
    from setsolver.usecases.scan import Progress as Told

__all__ = ["scanning", "waiting", "working"]


class _Rate(ProgressColumn):
    """Frames a second."""

    def render(self, task: Task) -> Text:
        """Return the rate, empty before there is one."""
        speed = task.finished_speed or task.speed
        return Text("" if speed is None else f"{speed:.1f}/s")


def _console() -> Console:
    """Return the terminal's own stream: what is drawn there is ours."""
    return Console(file=plain(sys.stderr))


@contextmanager
def scanning() -> Iterator[Told | None]:
    """Yield what a scan tells its progress to, None where nobody would see it."""
    console = _console()
    if not console.is_terminal:
        yield None
        return
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), _Rate(), TimeRemainingColumn())
    with Progress(*columns, console=console, transient=True) as bar:
        lines: dict[str, TaskID] = {}

        def tell(what: str, done: int, total: int) -> None:
            if what not in lines and total:
                lines[what] = bar.add_task(what, total=total)
            if what in lines:
                bar.update(lines[what], completed=done, total=total)

        yield tell


@contextmanager
def waiting(what: str) -> Iterator[None]:
    """Say on a terminal what is being waited for."""
    console = _console()
    if not console.is_terminal:
        yield
        return
    with console.status(what):
        yield


@contextmanager
def working(what: str) -> Iterator[Callable[[float, float], None] | None]:
    """Yield what a search tells (score, bound) to, None where nobody would see it."""
    console = _console()
    if not console.is_terminal:
        yield None
        return
    with console.status(what) as line:
        yield lambda score, bound: line.update(f"{what}: {score:.2f} points, at most {bound:.2f}")
