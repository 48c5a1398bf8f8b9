"""Prints and books made from the page: one job at a time, told as it goes, stopped when asked, where the user said.

What is finished is the set on the wall when the job began; changes meanwhile wait for another one.
"""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from setsolver.errors import BadInput, SetsolverError
from setsolver.output.view.words import counted, inert, number
from setsolver.render.save import load_profile
from setsolver.usecases.album_book import wish_of
from setsolver.usecases.album_change import Change, make_album
from setsolver.usecases.album_files import write_album
from setsolver.usecases.briefs import brief_names, load_brief
from setsolver.usecases.effort import Effort
from setsolver.usecases.finish import finish
from setsolver.usecases.finish_folder import FINISH_FILE
from setsolver.usecases.finish_size import Wish

if TYPE_CHECKING:
    from setsolver.domain.finish import Finish
    from setsolver.usecases.board.acts import Finish as FinishAct
    from setsolver.usecases.board.acts import MakeAlbum as AlbumAct
    from setsolver.usecases.board.state import BoardState

__all__ = ["Finishing", "album_briefs"]

Told = Callable[[str, int, int], None]
_ALBUM_SECONDS = 600.0
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


@cache
def album_briefs() -> list[str]:
    """Return the names of the briefs of books that come with setsolver."""
    return [name for name in brief_names() if load_brief(name).album is not None]


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
        wish = Wish(load_profile(None, "relative"), act.ppi, act.format, 0.0, 0.0, _PROOF if act.proof else None, None)
        outcome = state.outcome.model_copy(update={"brief": state.session.brief.model_dump(mode="json")})
        folder = self._folder(state.session.brief.name, f"{best.frames!r}{best.look!r}{wish!r}")

        def work(told: Told, stop: threading.Event) -> str:
            made = finish(outcome, best, self._catalog, folder, wish, apart=True, progress=told, stop=stop)
            return _said(made, stopped=stop.is_set())

        self._begin("Prints are being made", folder, len(best.frames), work)
        return f"{counted(len(best.frames), 'print')} begun, for {inert(str(folder))}; see Prints and book."

    def begin_album(self, state: BoardState, act: AlbumAct) -> str:
        """Begin to make a book of the catalog, with what is pinned in and what is barred out, and say so.

        Raises
        ------
        BadInput
            Where the brief is none of an album, or a job is running.
        """
        brief = load_brief(act.brief)
        wish_of(brief)
        session, wishes = state.session, state.session.brief.frames
        change = Change(session.named(wishes.include), session.named(wishes.exclude))
        folder, snapshot = self._folder(brief.name, ""), session.snapshot

        def work(told: Told, stop: threading.Event) -> str:
            kept: list[bytes] = [b""]
            effort = Effort(_ALBUM_SECONDS, stop=stop.is_set, progress=self._so_far)
            album = make_album(snapshot, brief, effort, change, keep=kept.append)
            if stop.is_set():
                return "Stopped before anything was written."
            if not album.spreads:
                raise BadInput(f"no book under these rules: {'; '.join(one.says for one in album.conflict)}")
            heed = partial(_heed, stop)
            book = write_album(
                album,
                self._catalog,
                folder,
                apart=True,
                columns=kept[-1],
                progress=_heeding(told, heed),
                heed=heed,
            )
            return f"{counted(len(book.spreads), 'spread')} in album.pdf for the printer, screen.pdf and overview.pdf."

        self._begin("A book is being made", folder, 0, work)
        return f"A book is begun, for {inert(str(folder))}; see Prints and book."

    def _so_far(self, score: float, bound: float) -> None:
        """Say how good the best book so far is."""
        if self._job is not None and self._job.state == "running" and not self._stop.is_set():
            self._job.says = f"The best book so far has {number(score)} points; none has more than {number(bound)}"
            self.changes += 1

    def _begin(self, says: str, folder: Path, total: int, work: Callable[[Told, threading.Event], str]) -> None:
        """Do some work in a thread. Raises BadInput where some is done already."""
        if self._thread is not None and self._thread.is_alive():
            raise BadInput("something is being made; stop that first, or wait for its end")
        self._stop = stop = threading.Event()
        self._job, begun = (job := _Job("running", says, str(folder), 0, total)), says

        def told(_what: str, done: int, total: int) -> None:
            job.says = job.says if stop.is_set() else begun
            job.done, job.total = done, total
            self.changes += 1

        def run() -> None:
            try:
                says, state = work(told, stop), "stopped" if stop.is_set() else "done"
            except _Stopped:
                says, state = "Stopped; nothing was left half-written.", "stopped"
            except SetsolverError as error:
                says, state = inert(str(error)), "failed"
            except Exception as error:  # noqa: BLE001 - a thread's end that nobody sees would leave the page waiting
                says, state = f"This failed inside setsolver: {type(error).__name__}. Try again.", "failed"
            job.folder = job.folder if folder.exists() else ""  # nothing was written
            job.says, job.state = says, state
            self.changes += 1

        self._thread = threading.Thread(target=run, name="finish", daemon=True)
        self._thread.start()
        self.changes += 1

    def stop(self) -> str:
        """Stop the job at once, and say so; prints that are whole stay."""
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


def _heed(stop: threading.Event) -> None:
    """End the work where it was stopped."""
    if stop.is_set():
        raise _Stopped


def _heeding(told: Told, heed: Callable[[], None]) -> Told:
    """Return what tells of progress and ends the work where it was stopped."""

    def heeding(what: str, done: int, total: int) -> None:
        heed()
        told(what, done, total)

    return heeding


class _Stopped(Exception):  # noqa: N818 - no error, and never seen outside
    """Raised in a job that is asked to stop."""


def _said(made: Finish, *, stopped: bool) -> str:
    count = counted(len(made.prints), "print")
    if stopped:
        return f"Stopped; {count} whole. Make them again to go on from there."
    refused = "".join(f" {inert(one.source)} was not printed: {inert(one.why)}." for one in made.refused)
    warned = sum(bool(one.warnings) for one in made.prints)
    warnings = f" {counted(warned, 'print')} with a warning in finish.json." if warned else ""
    return f"{count} made and measured.{warnings}{refused}"
