"""The board: a session that several pages share, that keeps what is done, and says what each change did and why.

One works at a time (``lane``). A change is made, answered and written before it is said; where any of that fails, or
somebody stops it, nothing was changed.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from setsolver.errors import SetsolverError
from setsolver.output.view.words import counted, name_of
from setsolver.rules.words import in_a_row
from setsolver.usecases.board import acts
from setsolver.usecases.board.at_once import AtOnce, done_at_once
from setsolver.usecases.board.changes import apply
from setsolver.usecases.board.clients import Clients
from setsolver.usecases.board.finishing import Finishing
from setsolver.usecases.board.kept import Kept
from setsolver.usecases.board.lane import Lane
from setsolver.usecases.board.pictures import SIDES, BoardPictures
from setsolver.usecases.board.questions import Questions
from setsolver.usecases.board.rows import key_of
from setsolver.usecases.board.settling import Settling, as_measured
from setsolver.usecases.board.state import BoardState, answer_of, or_back, paths_of
from setsolver.usecases.board.versions import Versions
from setsolver.usecases.board.watch import Watch
from setsolver.usecases.board.words import answered, dropped
from setsolver.usecases.board.work import Work
from setsolver.usecases.effort import Effort
from setsolver.usecases.scan import scan
from setsolver.usecases.session import Session
from setsolver.usecases.snapshot import snapshot

if TYPE_CHECKING:
    from collections.abc import Callable

    from setsolver.domain.choice import ChoiceRecord
    from setsolver.domain.outcome import Outcome

__all__ = ["TIME_LIMIT", "Board"]

PRINTS = Path("prints")
TIME_LIMIT = 10.0
"""Seconds for one answer: nobody waits longer before a page; a gap that is left is said."""
_OF_THE_SET = (acts.Put, acts.Keep, acts.Name, acts.Recall, acts.Finish, acts.MakeAlbum)
"""What rests on the set that stands, and so waits until turned frames are measured."""


class Board(Questions):
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
        self.work = Work()
        self.lane = Lane(lambda: self.state.revision, lambda: self.work.tell(""))
        effort = replace(
            effort or Effort(TIME_LIMIT), stop=self.lane.ends, progress=self.work.progress, tell=self.work.tell
        )
        self.session = Session(known, brief, effort=effort, folder=folder)
        self.session.scanning = self._scanned
        self.pictures = BoardPictures(folder)
        left = "This is the set under the brief." if self.kept.begun is None else "Here is where you left off."
        said = f"{left}{dropped(gone)}"
        versions = Versions(self.kept.home / self.kept.stem)
        self.state = BoardState(self.kept, self.session, self.pictures, versions, answer_of(self.session), said)
        self.finishing = Finishing(folder, out)
        self.settling = Settling(folder, lambda: self.state, self._settled, self._tell)
        self.clients = Clients(self.kept.home / f"{self.kept.stem}.ticks.jsonl")
        self._closed = False
        self._records: list[ChoiceRecord | None] = []
        self._unrecords: list[ChoiceRecord | None] = []
        self.work.tell("")

    def warm_pictures(self) -> None:
        """Decode the prints of the set on the wall, so that the first page need not wait; what fails is said there."""
        best = self.state.best
        for frame in () if best is None else best.frames:
            if self._closed:
                return
            with suppress(SetsolverError):
                shown = self.pictures.show(frame, self.state.frame(key_of(frame.path)))
                self.print_jpeg(shown, SIDES[1], corrected=True)

    def close(self) -> None:
        """Stop what goes on beside the page; everything is kept already."""
        self._closed = True
        self.settling.end()
        self.finishing.end()

    # What changes.

    def do(self, act: acts.Act) -> dict[str, Any]:
        """Do what a person asks for, keep it, and return the board as it is then.

        Raises
        ------
        SetsolverError
            Where it cannot be done or kept. Whatever is raised, nothing has changed then.
        """
        with self.lane.act(act.token):
            if isinstance(act, _OF_THE_SET) and self.session.unmeasured:
                act = self._settle_for(act)
            if isinstance(act, AtOnce):
                self.lane.hold()
                self._say_only(done_at_once(act, self.state, self.finishing, self.clients))
            else:
                self._move(act)
            view = self._view()
        self.settling.begin()
        return view

    def _move(self, act: acts.Act) -> None:
        """Do what may change the set."""
        match act:
            case acts.Undo() | acts.Redo():
                self._step(back=isinstance(act, acts.Undo))
            case acts.TakeIn():
                self._take_in(self.lane.hold)
            case _:
                self._change(act)

    def hear(self, text: str) -> dict[str, Any]:
        """Keep what clients answered, of a file's text, and return the board as it is then.

        Raises
        ------
        BadInput
            Where it is no answer to this catalog, or cannot be kept.
        """
        with self.lane.act():
            self._say_only(self.clients.add(text, self.state.by_path))
            return self._view()

    def stop(self, token: str) -> None:
        """Let the act of this token end, or never begin: it changes nothing then. Waits for nobody."""
        self.lane.stop(token)

    def _answer(self) -> None:
        """Solve for what was changed, and let it hold. Raises BadInput where somebody stopped it."""
        self.state.answer()
        self.lane.hold()

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
        kept = None
        try:
            with or_back(state, session.withdraw, before):
                self._answer()
                record = self._record(changed.over)
                self._keep_change(record, begun=isinstance(act, acts.BeginAgain))
                kept = record
        finally:
            if session.undoable != made:  # also where it could not be withdrawn: each step has its record
                self._records, self._unrecords = [*self._records, kept], []
        self._done(before, changed.says, same_weights=weights == session.brief.weights)

    def _settled(self) -> None:
        """Answer what turned frames are measured to be, in turn; nothing where they were settled meanwhile."""
        with self.lane.act():
            if self.session.unmeasured:
                self._settle()

    def _tell(self, says: str) -> None:
        with self.lane.act():
            self._say_only(says)

    def _settle_for(self, act: acts.Act) -> acts.Act:
        """Settle what an act waits for; return the act, of the set that hangs then. Raises as ``as_measured``."""
        names, shown = list(self.session.unmeasured), self.state.best
        named = isinstance(act, acts.Keep | acts.Name) and self.state.fresh(act.revision)
        self._settle()
        return as_measured(act, self.state, names, shown) if named or isinstance(act, acts.Finish) else act

    def _settle(self) -> None:
        """Answer what turned frames are measured to be. Raises BadInput where the act that waits for it is stopped."""
        names = in_a_row([name_of(path) for path in self.session.unmeasured])
        before = self.state.outcome

        def answer() -> None:
            self.state.answer()
            self.lane.heed()

        try:
            measured = self.session.settle(answer)
        except BaseException:
            self.state.back_to(before)
            raise
        if measured:
            self._done(before, f"Measured as turned: {names}.", same_weights=True)
        else:
            self._take_in(self.lane.heed)

    def _take_in(self, heed: Callable[[], None]) -> None:
        """Go on with the catalog as a scan left it, without what the brief named of frames that are gone.

        heed : raises where somebody stopped it.
        """
        state, session, before, brief = self.state, self.session, self.state.outcome, self.session.brief
        if session.unmeasured:  # a frame whose file is another one by now would be measured as turned by no other way
            scan(self.kept.folder, progress=self._scanned)
        seen = self.watch.look()

        def answer() -> None:
            state.answer()
            heed()
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

    def _scanned(self, what: str, done: int, total: int) -> None:
        """Say how far a scan is. Raises BadInput where the act that waits for it is stopped."""
        self.work.scan(what, done, total)
        self.lane.heed()

    def _step(self, *, back: bool) -> None:
        state, session = self.state, self.session
        before, weights, made = state.outcome, session.brief.weights, session.undoable
        if not (session.undo() if back else session.redo()):
            state.said = f"There is nothing to {'take back' if back else 'do again'}."
            return
        source, target = (self._records, self._unrecords) if back else (self._unrecords, self._records)
        record, moved = source[-1] if source else None, None
        try:
            with or_back(state, session.redo if back else session.undo, before):
                self._answer()
                self.kept.save(session.brief)
                if record is not None:
                    (self.kept.choices.take_back if back else self.kept.choices.add)(record)
                moved = record
        finally:
            if session.undoable != made:  # also where the step could not be gone back
                del source[-1:]
                target.append(moved)
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
        self.state.answered = self.state.revision
        self.state.said = f"{says} {answered(before, self.state.outcome, same_weights=same_weights)}"
