"""The board: a session that several pages share, that keeps what is done, and says what each change did and why.

One lock: whoever asks waits for the answer before. A change is made, answered and written before it is said; where any
of that fails, nothing was changed.
"""

from __future__ import annotations

import threading
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from setsolver.domain.choice import ChoiceRecord
from setsolver.errors import BadInput, NoSet, NoSuchFrame
from setsolver.output.view.words import inert, name_of, rule_name
from setsolver.usecases import board_acts as acts
from setsolver.usecases.board_kept import Kept
from setsolver.usecases.board_pictures import BoardPictures
from setsolver.usecases.board_rules import changed_keys, rules_view
from setsolver.usecases.board_view import difference, frame_row, key_of, set_view, weights_view
from setsolver.usecases.board_words import answered, told
from setsolver.usecases.effort import Effort
from setsolver.usecases.session import Session
from setsolver.usecases.snapshot import snapshot

if TYPE_CHECKING:
    from setsolver.domain.frame import Frame
    from setsolver.domain.outcome import Outcome, SetFound
    from setsolver.usecases.swaps import SwapFound

__all__ = ["MOST_SWAPS", "Board"]

MOST_SWAPS = 10
_MOST_ALTERNATES = 3
TIME_LIMIT = 10.0
"""Seconds for one answer: nobody waits longer before a page; a gap that is left is said."""


class Board:
    """A catalog and a brief on which a set is chosen.

    Parameters
    ----------
    folder : of a scanned catalog. source : the brief's name or file. effort : of every search.

    Raises
    ------
    BadInput
        Where the catalog, the brief, or the working copy cannot be used.
    """

    def __init__(self, folder: Path, source: str, *, effort: Effort | None = None) -> None:
        self.kept = Kept(folder, source)
        brief = self.kept.load()
        self.session = Session(snapshot(folder), brief, effort=effort or Effort(TIME_LIMIT), folder=folder)
        self.pictures = BoardPictures(folder)
        self.revision = 1
        self._lock = threading.RLock()
        self._said = "This is the set under the brief." if self.kept.begun is None else "Here is where you left off."
        self._records: list[ChoiceRecord | None] = []
        self._unrecords: list[ChoiceRecord | None] = []
        self._alternates: tuple[int, Outcome] | None = None
        self._look_up()
        self._outcome = self.session.solve()

    # What is asked.

    def view(self) -> dict[str, Any]:
        """Return the document ``setsolver/board`` version 1: all that a page shows, but for the tray."""
        with self._lock:
            self.kept.refresh()
            session, outcome = self.session, self._outcome
            best, brief = outcome.best, session.brief
            return {
                "format": "setsolver/board",
                "version": 1,
                "revision": self.revision,
                "catalog": name_of(str(Path(session.snapshot.folder).resolve())),
                "frames": len(session.snapshot.frames),
                "refused": len(session.snapshot.refused),
                "brief": {"name": inert(brief.name), "title": inert(brief.title or brief.name), "size": brief.size},
                "status": outcome.status,
                "said": self._said,
                "set": None if best is None else set_view(best, self._by_path, self.pictures.show),
                "clash": [{"says": inert(c.says), "way_out": inert(c.way_out)} for c in outcome.conflict],
                "notes": [inert(note) for note in outcome.notes],
                "weights": weights_view(brief, self._assembly(), best),
                "rules": rules_view(brief),
                "pinned": self._keys(brief.frames.include),
                "barred": self._keys(brief.frames.exclude),
                "undo": session.undoable,
                "redo": session.redoable,
                "kept": inert(str(self.kept.brief_file)),
                "choices": inert(str(self.kept.choices_file)),
                "edited": self.kept.edited,
            }

    def frames(self) -> dict[str, Any]:
        """Return every frame for the tray, with the revision at which that was so."""
        with self._lock:
            return {"revision": self.revision, "frames": [frame_row(frame) for frame in self.session.snapshot.frames]}

    def swaps(self, key: str, *, proven: bool) -> dict[str, Any]:
        """Return the ten best swaps for the place of a frame of the set.

        Parameters
        ----------
        key : of the frame that hangs there. proven : also solve for the best set with each newcomer, which takes
            longer.

        Raises
        ------
        NoSuchFrame
            Where there is no such frame. BadInput : where it is not in the set, or there is none.
        """
        with self._lock:
            frame, best = self._frame(key), self._outcome.best
            if best is None:
                raise BadInput("there is no set to swap in; undo the last change, or take the way out")
            found = self.session.swaps(frame.path, MOST_SWAPS, resolve=proven)
            return {
                "revision": self.revision,
                "frame": key,
                "proven": proven,
                "swaps": [self._swap(best, swap) for swap in found],
            }

    def alternates(self) -> dict[str, Any]:
        """Return the next best sets, each against the best."""
        with self._lock:
            if self._alternates is None or self._alternates[0] != self.revision:
                self._alternates = self.revision, self.session.alternates(_MOST_ALTERNATES)
            sets = self._alternates[1].sets
            return {
                "revision": self.revision,
                "sets": [
                    {
                        "number": at,
                        **set_view(found, self._by_path, self.pictures.show),
                        "points": found.score - sets[0].score,
                        "differs": _differs(sets[0], found),
                    }
                    for at, found in enumerate(sets[1:], 2)
                ],
            }

    def why(self, key: str) -> dict[str, Any]:
        """Return why a frame is in the set, or what the best set with it would cost. Raises as ``swaps``."""
        with self._lock:
            frame = self._frame(key)
            answer = self.session.why(frame.path)
            instead = answer.get("instead")
            return {
                "frame": key,
                "says": inert(answer["says"]),
                "points": answer["points"],
                "in_set": answer["in_set"],
                "lines": [
                    {"rule": rule_name(line["rule"]), "points": line["points"], "says": inert(line["says"])}
                    for line in answer["lines"]
                ],
                "leave": [name_of(path) for path in answer.get("leave", ())] if instead else [],
                "enter": [name_of(path) for path in answer.get("enter", ())] if instead else [],
            }

    def ways(self) -> dict[str, Any]:
        """Return the nearest brief that has a set, in words; None where there is a set, or none is near."""
        with self._lock:
            near = self.session.nearest()
            return {"says": None if near is None else inert(near.miss.says)}

    def print_jpeg(self, key: str, side: int, *, corrected: bool) -> bytes:
        """Return a print of a set that was shown; see ``BoardPictures.print_jpeg``."""
        return self.pictures.print_jpeg(key, side, self._by_path.get, corrected=corrected)

    def frame_jpeg(self, key: str, side: int) -> bytes:
        """Return a whole frame by its key. Raises NoSuchFrame, or FrameRefused where its file cannot be read."""
        return self.pictures.frame_jpeg(self._frame(key), side)

    # What changes.

    def do(self, act: acts.Act) -> dict[str, Any]:
        """Do what a person asks for, keep it, and return the board as it is then.

        Raises
        ------
        SetsolverError
            Where it cannot be done or kept. Whatever is raised, nothing has changed then.
        """
        with self._lock:
            if isinstance(act, acts.Undo | acts.Redo):
                self._step(back=isinstance(act, acts.Undo))
            else:
                self._change(act)
            return self.view()

    def _change(self, act: acts.Act) -> None:
        session, before, made = self.session, self._outcome, self.session.undoable
        weights = session.brief.weights
        says, shown = self._apply(act)
        if session.undoable == made:
            self._said = f"{says} That was so already."
            return
        record = None
        try:
            self._answer()
            record = self._record(shown)
            self._keep_change(record, begun=isinstance(act, acts.BeginAgain))
        except Exception:
            session.undo()
            self._look_up()
            self._outcome = before
            raise
        self._records = [*self._records, record]
        self._unrecords = []
        self._done(before, says, same_weights=weights == session.brief.weights)

    def _keep_change(self, record: ChoiceRecord | None, *, begun: bool) -> None:
        """Write the choice and the working copy, both or neither."""
        if record is not None:
            self.kept.choose(record)
        try:
            self.kept.save(self.session.brief, begun=begun)
        except Exception:
            if record is not None:
                self.kept.unchoose(record)
            raise

    def _step(self, *, back: bool) -> None:
        session, before, weights = self.session, self._outcome, self.session.brief.weights
        if not (session.undo() if back else session.redo()):
            self._said = f"There is nothing to {'take back' if back else 'do again'}."
            return
        source, target = (self._records, self._unrecords) if back else (self._unrecords, self._records)
        record = source[-1] if source else None
        try:
            self._answer()
            self.kept.save(session.brief)
            if record is not None:
                (self.kept.unchoose if back else self.kept.choose)(record)
        except Exception:
            (session.redo if back else session.undo)()
            self._look_up()
            self._outcome = before
            raise
        target.append(source.pop() if source else None)
        says = "Taken back." if back else "Done again."
        self._done(before, says, same_weights=weights == session.brief.weights)

    def _done(self, before: Outcome, says: str, *, same_weights: bool) -> None:
        self.revision += 1
        self._said = f"{says} {answered(before, self._outcome, same_weights=same_weights)}"

    def _answer(self) -> None:
        self._look_up()
        self._outcome = self.session.solve()

    def _apply(self, act: acts.Act) -> tuple[str, tuple[SetFound, ...]]:
        """Change the session; return what was asked, in words, and the sets to which another one is preferred by it."""
        match act:
            case acts.Put():
                return self._put(act)
            case acts.Keep(number=at, revision=revision):
                return self._keep(at, revision)
            case acts.Weigh() | acts.Change() | acts.Nearest() | acts.BeginAgain():
                return self._rewrite(act), ()
            case acts.Undo() | acts.Redo():
                raise BadInput("a step is no change")
            case _:
                return self._say_of(act, self._frame(act.frame).path), ()

    def _rewrite(self, act: acts.Weigh | acts.Change | acts.Nearest | acts.BeginAgain) -> str:
        """Change the brief as such."""
        session = self.session
        match act:
            case acts.Weigh(term=term, points=points):
                session.reweigh(**{term: points})
                return f"{rule_name(term)} now weighs {points:g}."
            case acts.Change(key=key, value=value):
                called, keys = changed_keys(session.brief, key, value)
                session.change(**keys)
                return f"{called}: now {_value(value)}."
            case acts.Nearest():
                near = session.nearest()
                if near is None:
                    raise BadInput("no small change of the brief leads to a set; take back the last change")
                session.change(**near.step.keys)
                return f"The brief {inert(near.step.says)}."
            case acts.BeginAgain():
                session.change(**self.kept.brief.model_dump())
                return "Begun again from the brief."

    def _say_of(self, act: Any, path: str) -> str:
        session, says = self.session, ""
        match act:
            case acts.Pin():
                session.pin(path)
                says = "is pinned"
            case acts.Bar(folder=True) if "/" in path:
                return self._bar_folder(path.rpartition("/")[0])
            case acts.Bar():
                session.bar(path)
                says = "is barred"
            case acts.Free():
                session.free(path)
                says = "is neither pinned nor barred"
            case acts.Rate(stars=stars):
                session.rate(path, stars)
                says = "has no stars of yours any more" if stars is None else f"has {stars} of 5 stars"
            case acts.Turn():
                session.turn(path, ((self._by_path[path].turn or 0) + 90) % 360)
                says = "is turned a quarter clockwise"
            case acts.Rescale(scale=scale):
                session.rescale(path, scale)
                says = f"is {scale}" if scale else "shows what was measured"
        return told(path, says)

    def _bar_folder(self, folder: str) -> str:
        frames = self.session.snapshot.frames
        self.session.bar(*(frame.path for frame in frames if frame.path.startswith(f"{folder}/")))
        return f"All of {inert(folder)} is barred."

    def _put(self, act: acts.Put) -> tuple[str, tuple[SetFound, ...]]:
        session, best = self.session, self._outcome.best
        comes, leaves = self._frame(act.frame).path, self._frame(act.instead).path
        paths = () if best is None else tuple(frame.path for frame in best.frames)
        if best is None or leaves not in paths or comes in paths:
            raise BadInput(
                f"{name_of(comes)} cannot take the place of {name_of(leaves)}: the set has changed meanwhile"
            )
        wishes = session.brief.frames
        include = session.without(wishes.include, {leaves, comes})
        new = (*include, comes)
        if act.others == "stay":
            new = tuple(dict.fromkeys(comes if path == leaves else path for path in paths))
        session.change(frames={"include": new, "exclude": session.without(wishes.exclude, set(new))})
        how = "the others stay" if act.others == "stay" else "the others may answer"
        return f"{name_of(comes)} for {name_of(leaves)}; {how}.", (best,)

    def _keep(self, at: int, revision: int) -> tuple[str, tuple[SetFound, ...]]:
        if self._alternates is None or not self._alternates[0] == self.revision == revision:
            raise BadInput("the sets have changed since these were shown; look at the next best sets again")
        sets = self._alternates[1].sets
        if at > len(sets):
            raise BadInput(f"there is no set {at}; {len(sets)} were shown")
        paths = tuple(frame.path for frame in sets[at - 1].frames)
        wishes = self.session.brief.frames
        exclude = self.session.without(wishes.exclude, set(paths))
        self.session.change(frames={"include": paths, "exclude": exclude})
        return f"Set {at} is kept.", sets

    def _record(self, shown: tuple[SetFound, ...]) -> ChoiceRecord | None:
        """Return what a change says of taste: the set as it is now, preferred to those that were shown."""
        best = self._outcome.best
        if not shown or best is None:
            return None
        now, others = _paths(best), (_paths(found) for found in shown)
        over = tuple(paths for paths in others if set(paths) != set(now))
        made = datetime.now().astimezone().isoformat(timespec="seconds")
        catalog, brief = self.kept.catalog, self.session.brief.name
        return ChoiceRecord(catalog=catalog, brief=brief, made=made, by="board", chosen=now, over=over)

    # How.

    def _look_up(self) -> None:
        frames = self.session.snapshot.frames
        self._by_path = {frame.path: frame for frame in frames}
        self._by_key = {key_of(frame.path): frame for frame in frames}

    def _frame(self, key: str) -> Frame:
        frame = self._by_key.get(key)
        if frame is None:
            raise NoSuchFrame("this frame is not in the catalog any more; load the page again")
        return frame

    def _keys(self, patterns: tuple[str, ...]) -> list[str]:
        return [key_of(path) for path in self.session.named(patterns)] if patterns else []

    def _assembly(self) -> Any:
        try:
            return self.session.assembly
        except NoSet:
            return None

    def _swap(self, best: SetFound, swap: SwapFound) -> dict[str, Any]:
        comes = next(frame for frame in swap.found.frames if frame.path == swap.path)
        return {
            "frame": key_of(swap.path),
            "name": name_of(swap.path),
            "path": inert(swap.path),
            "plays": inert(comes.plays),
            "ppi": comes.ppi,
            "picture": self.pictures.show(comes),
            "points": swap.points,
            "because": _because(best, swap.found),
            "best_points": swap.best_points,
            "best_proven": swap.proven,
            "best_because": [] if swap.best is None else _because(best, swap.best),
            "others": [] if swap.best is None else _others(best, swap.best, {swap.path, swap.leaves}),
        }


def _value(value: float | str | None) -> str:
    """Return the value of a rule in words."""
    if value is None:
        return "as many as there are"
    return inert(value) if isinstance(value, str) else f"{value:g}"


def _paths(found: SetFound) -> tuple[str, ...]:
    return tuple(frame.path for frame in found.frames)


def _because(best: SetFound, other: SetFound) -> list[dict[str, Any]]:
    return [{"rule": rule, "points": by} for rule, by in difference(best, other)[:3]]


def _others(best: SetFound, other: SetFound, besides: set[str]) -> list[str]:
    """Return the names of who else comes in."""
    there = {frame.path for frame in best.frames} | besides
    return [name_of(frame.path) for frame in other.frames if frame.path not in there]


def _differs(best: SetFound, other: SetFound) -> list[dict[str, Any]]:
    return [{"rule": rule, "points": by} for rule, by in difference(best, other)]
