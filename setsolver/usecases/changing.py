"""What can be changed in a session: wishes for frames, the brief, what is said of frames; back and forth without end.

Changes are kept as a list of briefs and corrections, so that each can be undone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from setsolver.domain.brief import Brief, FrameWishes
from setsolver.domain.columns import paths_of
from setsolver.domain.names import same_name
from setsolver.errors import BadBrief
from setsolver.layout import check_wall
from setsolver.rules.seats import seats_of
from setsolver.rules.wishes import frames_named, matching
from setsolver.usecases.assembling import Assembler
from setsolver.usecases.back_and_forth import Step, thinned
from setsolver.usecases.gone import without_gone
from setsolver.usecases.looking import Looking, Said

if TYPE_CHECKING:
    from setsolver.domain.snapshot import Snapshot

__all__ = ["Changing", "checked_brief"]


class Changing(Looking):
    """A catalog and a brief that change.

    Parameters
    ----------
    snapshot, brief, folder : as of ``Session``.
    """

    def __init__(self, snapshot: Snapshot, brief: Brief, folder: Path | None) -> None:
        super().__init__(snapshot, folder)
        self.brief = brief
        self._undo: list[Step] = []
        self._redo: list[Step] = []
        self._undone_before: list[Step] = []

    def pin(self, *paths: str, slot: str | None = None) -> None:
        """Let frames be in, by path or glob: they join ``frames.include``, and leave ``frames.exclude``.

        Parameters
        ----------
        slot : the only one that they may play, by its name in the brief; None = whichever serves.

        Raises
        ------
        BadBrief
            Where no frame of the catalog has such a path, or the brief no such slot; nothing changes then.
        """
        self._wish("include", "exclude", paths, slot)

    def bar(self, *paths: str) -> None:
        """Let frames be out, by path or glob; they leave ``frames.include``. Raises as ``pin``."""
        self._wish("exclude", "include", paths)

    def free(self, *paths: str) -> None:
        """Let frames be neither pinned nor barred any more. Raises as ``pin``."""
        wishes = self.brief.frames
        gone = self._named("include", paths)
        self.wish(include=self.without(wishes.include, gone), exclude=self.without(wishes.exclude, gone))

    def include(self, *paths: str) -> None:
        """Set all that must be in, as ``frames.include`` of a brief; without paths nothing must. Raises as ``pin``."""
        self.wish(include=paths, exclude=self.brief.frames.exclude)

    def wish(self, *, include: Sequence[str], exclude: Sequence[str], slots: Mapping[str, str] | None = None) -> None:
        """Set all that must be in and out, as ``frames`` of a brief. Raises as ``pin``.

        Parameters
        ----------
        slots : by path; None = as they are, for those that stay in.
        """
        named = self._named("include", tuple(include))
        self._named("exclude", tuple(exclude))
        slots = self.brief.frames.slots if slots is None else slots
        kept = {path: slot for path, slot in slots.items() if same_name(path, named)}
        frames = FrameWishes(include=tuple(include), exclude=tuple(exclude), slots=kept)
        brief = self.brief.model_copy(update={"frames": frames})
        seats_of(brief, self.snapshot)
        self._change(brief)

    def reweigh(self, **weights: float) -> None:
        """Set weights by term, in points.

        Raises
        ------
        BadBrief
            For a weight that no term has, below 0 or above what a brief may say; nothing changes then.
        """
        self.change(weights={**self.brief.weights.model_dump(), **weights})

    def change(self, **keys: Any) -> None:
        """Set any keys of the brief, such as ``size=4`` or ``print_cm=29``.

        Raises
        ------
        BadBrief
            Where a value is not allowed, or does not fit the others; nothing changes then.
        """
        changed = checked_brief(self.brief, keys)
        check_wall(changed)
        Assembler.check(changed)
        self._change(changed)

    def rate(self, path: str, stars: int | None) -> None:
        """Give a frame stars, 0 to 5, kept in the index; None takes them back. Raises as ``correct``."""
        self.correct({path: {"stars": None if stars is None else str(stars)}})

    def turn(self, path: str, degrees: int | None, *, wait: bool = True) -> None:
        """Say how far clockwise a frame must be turned to be upright; it is measured again. Raises as ``correct``.

        Parameters
        ----------
        wait : False = go on with what is known of it before that, as ``unmeasured`` tells; ``settle`` measures it.
        """
        self.correct({path: {"turn": None if degrees is None else str(degrees)}}, wait=wait)

    def rescale(self, path: str, scale: str | None) -> None:
        """Say that a frame is "wide", "medium" or "close", in the index; None takes it back. Raises as ``correct``."""
        self.correct({path: {"scale": scale}})

    def correct(self, said: Said, *, wait: bool = True) -> None:
        """Say of frames, by path, what counts against what was measured, as ``setsolver frames --set`` does.

        Raises
        ------
        NoSuchFrame
            Where the catalog has no frame of this path. BadInput : where what is said is nothing that can be said, or
            the session has no folder to keep it in. Nothing changes then.
        """
        seen = self._seen()
        unsaid, kept = self._write(said, wait=wait)
        self._done(Step(self.brief, self.brief, unsaid, kept, seen))

    def settle(self, answer: Callable[[], object] = lambda: None) -> bool:
        """Measure frames that were turned without waiting for it.

        False where a file of theirs is gone or another one by now: nothing has changed then. That is for a scan, and
        for ``look_again``.

        Parameters
        ----------
        answer : whatever it raises is raised here; nothing has changed then.

        Raises
        ------
        CatalogBusy
            Where a scan is running; nothing changes then.
        """
        seen, before = self._seen(), (self._undo, self._redo)
        if not self._settle():
            return False
        self._undo, self._redo = ([step.settled() for step in steps] for steps in before)
        try:
            answer()
        except BaseException:
            self._show_again(seen)
            self._undo, self._redo = before
            raise
        return True

    def look_again(self, answer: Callable[[], object]) -> tuple[str, ...]:
        """Take in the catalog as its index holds it now; return the frames that the brief named and that are gone.

        They are dropped from the brief, and from the changes that can be undone. Nothing is measured.

        Parameters
        ----------
        answer : whatever it raises is raised here, as where the index cannot be read; nothing has changed then.
        """
        from setsolver.usecases.snapshot import snapshot  # noqa: PLC0415 - a session without a folder needs no database

        seen, before = self._seen(), (self.brief, self._undo, self._redo)
        self._show(snapshot(self._home()))
        there = set(paths_of(self.snapshot.frames))
        self.brief, gone = without_gone(self.brief, there)
        self._undo, self._redo = ([step.among(there) for step in steps] for steps in (self._undo, self._redo))
        try:
            answer()
        except BaseException:
            self._show_again(seen)
            self.brief, self._undo, self._redo = before
            raise
        return gone

    def undo(self) -> bool:
        """Take back the last change; False where there is none. Raises as ``correct``, and changes nothing then."""
        if not self._undo:
            return False
        step, seen = self._undo[-1], self._seen()
        if step.unsaid:
            self._write(step.unsaid, known=step.seen)  # which may fail: nothing has changed then
        self._redo = thinned([*self._redo, replace(self._undo.pop(), seen=seen if step.unsaid else None)])
        self.brief = step.before
        return True

    def withdraw(self) -> None:
        """Take back the change that was just made as if it never had been: what could be redone before, can again."""
        if self.undo():
            self._redo = self._undone_before

    def redo(self) -> bool:
        """Make the change again that was taken back last; False where there is none. Raises as ``undo``."""
        if not self._redo:
            return False
        step, seen = self._redo[-1], self._seen()
        if step.said:
            self._write(step.said, known=step.seen)
        self._undo = thinned([*self._undo, replace(self._redo.pop(), seen=seen if step.said else None)])
        self.brief = step.after
        return True

    @property
    def undoable(self) -> int:
        """How many changes ``undo`` can take back."""
        return len(self._undo)

    @property
    def redoable(self) -> int:
        """How many changes ``redo`` can make again."""
        return len(self._redo)

    def named(self, patterns: tuple[str, ...]) -> tuple[str, ...]:
        """Return the paths of the frames that paths or globs of the brief name."""
        return tuple(sorted(self._named("include", patterns)))

    def without(self, patterns: tuple[str, ...], gone: set[str]) -> tuple[str, ...]:
        """Return the patterns without some frames; a glob that named any of them becomes the paths that are left."""
        everyone, kept = paths_of(self.snapshot.frames), list[str]()
        for pattern in patterns:
            if pattern in gone:
                continue
            if not matching(pattern, [*gone]):
                kept.append(pattern)
                continue
            kept += [everyone[at] for at in matching(pattern, everyone) if everyone[at] not in gone]
        return tuple(dict.fromkeys(kept))

    def _wish(self, key: str, other: str, paths: tuple[str, ...], slot: str | None = None) -> None:
        named = self._named(key, paths)
        wishes = self.brief.frames
        mine = getattr(wishes, key)
        more = (*mine, *(path for path in paths if path not in mine))
        rest = self.without(getattr(wishes, other), named)
        include, exclude = (more, rest) if key == "include" else (rest, more)
        slots = {path: name for path, name in wishes.slots.items() if path not in named}
        seats = dict.fromkeys(sorted(named), slot) if slot else {}
        self.wish(include=include, exclude=exclude, slots=slots | seats)

    def _named(self, key: str, paths: tuple[str, ...]) -> set[str]:
        everyone = paths_of(self.snapshot.frames)
        return {everyone[frame] for frame in frames_named(key, paths, self.snapshot)}

    def _change(self, brief: Brief) -> None:
        if brief != self.brief:
            self._done(Step(self.brief, brief))

    def _done(self, step: Step) -> None:
        self.brief = step.after
        self._undo = thinned([*self._undo, step])
        self._undone_before, self._redo = self._redo, []


def checked_brief(brief: Brief, keys: Mapping[str, Any]) -> Brief:
    """Return a brief with some keys changed.

    Raises
    ------
    BadBrief
        Where a value is not allowed.
    """
    from pydantic import ValidationError  # noqa: PLC0415

    try:
        return type(brief).model_validate({**brief.model_dump(exclude_unset=True), **keys})
    except ValidationError as error:
        first = error.errors()[0]
        says = first["msg"].removeprefix("Value error, ")
        if not first["loc"]:  # keys that do not go together: the whole brief would say nothing more
            raise BadBrief(says) from error
        raise BadBrief(f"{'.'.join(map(str, first['loc']))}: {says}; the value given is {first['input']!r}") from error
