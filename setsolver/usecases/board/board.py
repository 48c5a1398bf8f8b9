"""The board: a session that several pages share, that keeps what is done, and says what each change did and why.

One lock: whoever asks waits for the answer before. A change is made, answered and written before it is said; where any
of that fails, nothing was changed.
"""

from __future__ import annotations

import threading
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from setsolver.errors import SetsolverError
from setsolver.output.view.words import counted
from setsolver.usecases.board import acts, asked
from setsolver.usecases.board.changes import apply
from setsolver.usecases.board.clients import Clients
from setsolver.usecases.board.finishing import Finishing, album_briefs
from setsolver.usecases.board.framed import framing
from setsolver.usecases.board.kept import Kept
from setsolver.usecases.board.mending import mendings
from setsolver.usecases.board.pictures import SIDES, BoardPictures
from setsolver.usecases.board.replacing import swaps
from setsolver.usecases.board.state import BoardState, answer_of, or_back, paths_of
from setsolver.usecases.board.versions import Versions
from setsolver.usecases.board.view import board_view
from setsolver.usecases.board.watch import Watch
from setsolver.usecases.board.words import answered, dropped
from setsolver.usecases.effort import Effort
from setsolver.usecases.session import Session
from setsolver.usecases.snapshot import snapshot

if TYPE_CHECKING:
    from setsolver.domain.brief import CropWish
    from setsolver.domain.choice import ChoiceRecord
    from setsolver.domain.outcome import Outcome

__all__ = ["TIME_LIMIT", "Board"]

PRINTS = Path("prints")
TIME_LIMIT = 10.0
"""Seconds for one answer: nobody waits longer before a page; a gap that is left is said."""


class Board:
    """A catalog and a brief on which a set is chosen.

    Parameters
    ----------
    folder : of a scanned catalog. source : the brief's name or file. effort : of every search. out : the folder in
    which prints are made, each job in one of its own.

    Raises
    ------
    BadInput
        Where the catalog, the brief, or the working copy cannot be used.
    """

    def __init__(self, folder: Path, source: str, *, effort: Effort | None = None, out: Path = PRINTS) -> None:
        self.kept = Kept(folder, source)
        self.watch = Watch(folder)
        known = snapshot(folder)
        brief, gone = self.kept.load_for(known)
        self.session = Session(known, brief, effort=effort or Effort(TIME_LIMIT), folder=folder)
        self.pictures = BoardPictures(folder)
        left = "This is the set under the brief." if self.kept.begun is None else "Here is where you left off."
        said = f"{left}{dropped(gone)}"
        versions = Versions(self.kept.home / self.kept.stem)
        self.state = BoardState(self.kept, self.session, self.pictures, versions, answer_of(self.session), said)
        self.finishing = Finishing(folder, out)
        self.clients = Clients(self.kept.home / f"{self.kept.stem}.ticks.jsonl")
        self._closed = False
        self._lock = threading.RLock()
        self._records: list[ChoiceRecord | None] = []
        self._unrecords: list[ChoiceRecord | None] = []

    @property
    def revision(self) -> int:
        """Counts changes."""
        return self.state.revision

    # What is asked.

    def view(self) -> dict[str, Any]:
        """Return the document ``setsolver/board`` version 1: all that a page shows, but for the tray."""
        with self._lock:
            self.kept.refresh()
            clients = self.clients.view(self.state.by_path)
            jobs = {"finish": self.finishing.view(), "albums": album_briefs()}
            return {**board_view(self.state), **clients, **jobs, "rescanned": self.watch.says()}

    def rescanned(self) -> dict[str, Any]:
        """Return what another scan of the catalog changed since, in words, or None."""
        with self._lock:
            return {"rescanned": self.watch.says()}

    def stamp(self) -> tuple[int, int]:
        """Return what changes whenever pages have to be told something; asks nothing and waits for nobody."""
        return self.state.revision, self.finishing.changes

    def frames(self, known: int = 0) -> dict[str, Any]:
        """Return every frame for the tray, or those that differ from a list of before; see ``FrameRows.since``."""
        with self._lock:
            return self.state.rows.since(self.state.session.snapshot, known)

    def framing(self, key: str, wish: CropWish) -> dict[str, Any]:
        """Return what a print would be if it were framed so. Raises as ``swaps``."""
        with self._lock:
            return framing(self.state, key, wish)

    def swaps(self, key: str, *, proven: bool, like: str | None = None) -> dict[str, Any]:
        """Return the ten best swaps for the place of a frame of the set, of those that repeat each other the best.

        See ``replacing.swaps``. Raises NoSuchFrame, or BadInput where the frame is not in the set, or there is none.
        """
        with self._lock:
            return swaps(self.state, key, proven=proven, like=like)

    def alternates(self) -> dict[str, Any]:
        """Return the next best sets, each against the best."""
        with self._lock:
            return asked.further_sets(self.state)

    def why(self, key: str) -> dict[str, Any]:
        """Return why a frame is in the set, or what the best set with it would cost. Raises as ``swaps``."""
        with self._lock:
            return asked.why(self.state, key)

    def earnings(self) -> dict[str, Any]:
        """Return what each frame would earn this set in its best place."""
        with self._lock:
            return asked.earnings(self.state)

    def prices(self) -> dict[str, Any]:
        """Return what each weight costs: what the other rules would gain without it, and who would change."""
        with self._lock:
            return asked.prices(self.state)

    def ways(self) -> dict[str, Any]:
        """Return the ways out of a clash, the nearest first; none where there is a set."""
        with self._lock:
            return asked.ways(self.state)

    def mendings(self, key: str, value: float) -> dict[str, Any]:
        """Return by which other count of the brief one that contradicts it would hold. Raises BadInput for no rule."""
        with self._lock:
            return {"ways": mendings(self.session.brief, key, value, len(self.session.snapshot.frames))}

    def versions(self) -> dict[str, Any]:
        """Return the versions that were kept, each with its set."""
        with self._lock:
            return asked.versions(self.state)

    def print_jpeg(self, key: str, side: int, *, corrected: bool) -> bytes:
        """Return a print of a set that was shown; see ``BoardPictures.print_jpeg``."""
        return self.pictures.print_jpeg(key, side, self.state.by_path.get, corrected=corrected)

    def frame_jpeg(self, key: str, side: int) -> bytes:
        """Return a whole frame by its key. Raises NoSuchFrame, or FrameRefused where its file cannot be read."""
        return self.pictures.frame_jpeg(self.state.frame(key), side)

    def warm_pictures(self) -> None:
        """Decode the prints of the set on the wall, so that the first page need not wait; what fails is said there."""
        best = self.state.best
        for frame in () if best is None else best.frames:
            if self._closed:
                return
            with suppress(SetsolverError):
                self.print_jpeg(self.pictures.show(frame), SIDES[1], corrected=True)

    def close(self) -> None:
        """Stop what goes on beside the page; everything is kept already."""
        self._closed = True
        self.finishing.end()

    # What changes.

    def do(self, act: acts.Act) -> dict[str, Any]:
        """Do what a person asks for, keep it, and return the board as it is then.

        Raises
        ------
        SetsolverError
            Where it cannot be done or kept. Whatever is raised, nothing has changed then.
        """
        with self._lock:
            match act:
                case acts.Undo() | acts.Redo():
                    self._step(back=isinstance(act, acts.Undo))
                case acts.Name():
                    self._say_only(self.state.versions.name(self.state, act))
                case acts.Finish():
                    self._say_only(self.finishing.begin(self.state, act))
                case acts.MakeAlbum():
                    self._say_only(self.finishing.begin_album(self.state, act))
                case acts.SetAside(client=client):
                    self._say_only(self.clients.set_aside(client))
                case acts.StopFinish():
                    self._say_only(self.finishing.stop())
                case acts.TakeIn():
                    self._take_in()
                case acts.Forget(version=version):
                    self._say_only(self.state.versions.forget(version))
                case _:
                    self._change(act)
            return self.view()

    def hear(self, text: str) -> dict[str, Any]:
        """Keep what clients answered, of a file's text, and return the board as it is then.

        Raises
        ------
        BadInput
            Where it is no answer to this catalog, or cannot be kept.
        """
        with self._lock:
            self._say_only(self.clients.add(text, self.state.by_path))
            return self.view()

    def _say_only(self, says: str) -> None:
        """Tell every page of what changed no set."""
        self.state.revision += 1
        self.state.said = says

    def _change(self, act: acts.Act) -> None:
        state, session = self.state, self.session
        before, made, weights = state.outcome, session.undoable, session.brief.weights
        changed = apply(state, act)
        if session.undoable == made:
            state.said = f"{changed.says} That was so already."
            return
        record = None
        with or_back(state, session.undo, before):
            state.answer()
            record = self._record(changed.over)
            self._keep_change(record, begun=isinstance(act, acts.BeginAgain))
        self._records = [*self._records, record]
        self._unrecords = []
        self._done(before, changed.says, same_weights=weights == session.brief.weights)

    def _take_in(self) -> None:
        """Go on with the catalog as another scan left it, without what the brief named of frames that are gone."""
        state, session, before, brief = self.state, self.session, self.state.outcome, self.session.brief
        seen = self.watch.look()

        def answer() -> None:
            state.answer()
            if session.brief is not brief:
                self.kept.save(session.brief)

        try:
            gone = session.look_again(answer)
        except BaseException:
            state.back_to(before)
            raise
        self.watch.taken_in(seen)
        frames = counted(len(session.snapshot.frames), "frame")
        self._done(before, f"Taken in: {frames}.{dropped(gone)}", same_weights=True)

    def _step(self, *, back: bool) -> None:
        state, session = self.state, self.session
        before, weights = state.outcome, session.brief.weights
        if not (session.undo() if back else session.redo()):
            state.said = f"There is nothing to {'take back' if back else 'do again'}."
            return
        source, target = (self._records, self._unrecords) if back else (self._unrecords, self._records)
        record = source[-1] if source else None
        with or_back(state, session.redo if back else session.undo, before):
            state.answer()
            self.kept.save(session.brief)
            if record is not None:
                (self.kept.choices.take_back if back else self.kept.choices.add)(record)
        target.append(source.pop() if source else None)
        says = "Taken back." if back else "Done again."
        self._done(before, says, same_weights=weights == session.brief.weights)

    def _record(self, over: tuple[tuple[str, ...], ...]) -> ChoiceRecord | None:
        """Return what a change says of taste: the set as it is now, preferred to those that were shown."""
        best = self.state.best
        if not over or best is None:
            return None
        return self.kept.choices.record(self.kept.brief_named, paths_of(best), over)

    def _keep_change(self, record: ChoiceRecord | None, *, begun: bool) -> None:
        """Write the choice and the working copy, both or neither."""
        if record is not None:
            self.kept.choices.add(record)
        try:
            self.kept.save(self.session.brief, begun=begun)
        except Exception:
            if record is not None:
                self.kept.choices.take_back(record)
            raise

    def _done(self, before: Outcome, says: str, *, same_weights: bool) -> None:
        self.state.revision += 1
        self.state.said = f"{says} {answered(before, self.state.outcome, same_weights=same_weights)}"
