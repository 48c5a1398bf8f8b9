"""Prints made from the page: one job at a time, told as it goes, stopped when asked, in a folder that the user named.

What is finished is the set on the wall when the job began; changes meanwhile wait for another one.
"""

from __future__ import annotations

import re
import threading
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from setsolver.errors import BadInput, SetsolverError
from setsolver.output.view.words import counted, inert
from setsolver.render.save import load_profile
from setsolver.usecases.finish import finish
from setsolver.usecases.finish_folder import FINISH_FILE
from setsolver.usecases.finish_print import Wish

if TYPE_CHECKING:
    from setsolver.domain.finish import Finish
    from setsolver.usecases.board.acts import Finish as FinishAct
    from setsolver.usecases.board.state import BoardState

__all__ = ["Finishing"]

_PROOF = 1600
"""Long side, in pixels, of small prints for a message."""


@dataclass
class _Job:
    """What pages are told. state : "running", "done", "stopped" or "failed". done, total : prints."""

    state: str
    says: str
    folder: str
    done: int = 0
    total: int = 0


class Finishing:
    """The jobs of one board. catalog : with the originals. out : the folder in which each job makes one of its own."""

    def __init__(self, catalog: Path, out: Path) -> None:
        self._catalog, self._out = catalog, out
        self._job: _Job | None = None
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None
        self._last: tuple[str, Path] | None = None
        self.changes = 0

    def view(self) -> dict[str, Any] | None:
        """Return how the last job stands; None before there was any."""
        job = self._job
        if job is None:
            return None
        return {"state": job.state, "says": job.says, "folder": inert(job.folder), "done": job.done, "total": job.total}

    def begin(self, state: BoardState, act: FinishAct) -> str:
        """Begin to make the prints of the set on the wall, and say so.

        Raises
        ------
        BadInput
            Where there is no set, or a job is running.
        """
        best = state.hung()
        if self._thread is not None and self._thread.is_alive():
            raise BadInput("prints are being made; stop that first, or wait for its end")
        wish = Wish(load_profile(None, "relative"), act.ppi, act.format, 0.0, 0.0, _PROOF if act.proof else None, None)
        outcome = state.outcome.model_copy(update={"brief": state.session.brief.model_dump(mode="json")})
        folder = self._folder(state.session.brief.name, f"{best.frames!r}{best.look!r}{wish!r}")
        self._stop = stop = threading.Event()
        self._job = job = _Job("running", "Prints are being made", str(folder), 0, len(best.frames))

        def told(_what: str, done: int, total: int) -> None:
            job.done, job.total = done, total
            self.changes += 1

        def run() -> None:
            try:
                made = finish(outcome, best, self._catalog, folder, wish, progress=told, stop=stop)
                job.says = _said(made, stopped=stop.is_set())
                job.state = "stopped" if stop.is_set() else "done"
            except SetsolverError as error:
                job.state, job.says = "failed", inert(str(error))
            except Exception as error:  # noqa: BLE001 - a thread's end that nobody sees would leave the page waiting
                job.state, job.says = (
                    "failed",
                    f"This failed inside setsolver: {type(error).__name__}. Try again.",
                )
            self.changes += 1

        self._thread = threading.Thread(target=run, name="finish", daemon=True)
        self._thread.start()
        self.changes += 1
        return f"{counted(job.total, 'print')} for {inert(str(folder))}."

    def stop(self) -> str:
        """Stop the job between two tiles, and say so; prints that are whole stay."""
        if self._job is None or self._job.state != "running":
            return "Nothing is being made."
        self._stop.set()
        self._job.says = "Stopping"
        self.changes += 1
        return "Stopping; prints that are whole stay."

    def end(self, seconds: float = 30.0) -> None:
        """Stop and wait, when the board is closed."""
        self._stop.set()
        if self._thread is not None:
            self._thread.join(seconds)

    def _folder(self, name: str, job: str) -> Path:
        """Return a new folder, or that of the job before where it was the same one: it is taken up again."""
        if self._last is not None and self._last[0] == job and (self._last[1] / FINISH_FILE).is_file():
            return self._last[1]
        day = datetime.now().astimezone().strftime("%Y-%m-%d")
        stem, number = f"{re.sub(r'[^A-Za-z0-9_-]+', '-', name)}-{day}", 1
        folder = self._out / stem
        while folder.exists():
            number += 1
            folder = self._out / f"{stem}-{number}"
        self._last = job, folder
        return folder


def _said(made: Finish, *, stopped: bool) -> str:
    count = counted(len(made.prints), "print")
    if stopped:
        return f"Stopped; {count} whole. Make them again to go on from there."
    refused = "".join(f" {inert(one.source)} was not printed: {inert(one.why)}." for one in made.refused)
    warned = sum(bool(one.warnings) for one in made.prints)
    warnings = f" {counted(warned, 'print')} with a warning in finish.json." if warned else ""
    return f"{count} made and measured.{warnings}{refused}"
