"""A session: a catalog and a brief kept warm, so that a changed wish is answered at once.

Everything that a person asks for stands on it. Changes are kept as a list of briefs and corrections, so that each can
be undone; questions are answered by the solver that answered the ones before (``solver.warm``), from arrays that
changes leave as they are (``assembling``).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from itertools import islice
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

import numpy as np

from setsolver.domain.brief import Brief, FrameWishes
from setsolver.domain.columns import paths_of
from setsolver.domain.known_rows import same_rows
from setsolver.errors import BadBrief, BadInput, NoSet
from setsolver.layout import check_wall
from setsolver.rules.seats import seats_of
from setsolver.rules.wishes import frames_named, matching
from setsolver.solver import Warm
from setsolver.solver.ready import make_ready
from setsolver.usecases.alternates import kinds_of, likes_of, solve_with_alternates
from setsolver.usecases.assembling import Assembler
from setsolver.usecases.effort import Effort
from setsolver.usecases.near import Nearest, near_misses, nearest, ways_out
from setsolver.usecases.outcome import to_outcome, without_set
from setsolver.usecases.prices import rule_prices
from setsolver.usecases.solve import solve
from setsolver.usecases.swaps import SwapFound, earnings_of, swaps_of
from setsolver.usecases.weight_prices import WeightPrice, weight_prices

if TYPE_CHECKING:
    from setsolver.crops.renditions import CropTable
    from setsolver.domain.outcome import Outcome
    from setsolver.domain.problem import Floats, Ints
    from setsolver.domain.snapshot import Snapshot
    from setsolver.domain.solution import Choice, Solution
    from setsolver.rules import Assembly

__all__ = ["Session", "default_difference"]

ANSWERS_KEPT = 32
WORTH_SAYING = 1.5
"""Seconds of compiling, or of reading what was compiled, from which they are said."""

Said = Mapping[str, Mapping[str, str | None]]


def default_difference(size: int) -> int:
    """Return by how many frames alternates differ unless told otherwise: half the set, rounded up.

    A client who is shown an alternate expects another set, not the same one with a frame swapped (common practice, no
    source).
    """
    return max(1, (size + 1) // 2)


@dataclass(frozen=True)
class _Step:
    """One change: the brief before and after it, and what was said of frames before and with it."""

    before: Brief
    after: Brief
    unsaid: Said = field(default_factory=dict)
    said: Said = field(default_factory=dict)


class Session:
    """A catalog with a brief, kept warm.

    Parameters
    ----------
    snapshot : the catalog. brief : what set is wanted.
    effort : time limit, seed and workers of every search; the seed makes answers the same for the same changes.
    folder : of the catalog, for corrections; None where there is none, and nothing can be corrected.
    """

    def __init__(
        self, snapshot: Snapshot, brief: Brief, *, effort: Effort = Effort(), folder: Path | None = None
    ) -> None:
        self.snapshot, self.brief, self.effort, self.folder = snapshot, brief, effort, folder
        self._undo: list[_Step] = []
        self._redo: list[_Step] = []
        self._open()

    def _open(self) -> None:
        self._assembler = Assembler(self.snapshot)
        self._warm: Warm | None = None
        self._rows: Assembly | None = None
        self._answers: dict[str, Solution] = {}
        self._likes: dict[int, frozenset[int]] | None = None

    def __enter__(self) -> Self:
        """Return the session."""
        return self

    def __exit__(
        self, _kind: type[BaseException] | None, _error: BaseException | None, _: TracebackType | None
    ) -> None:
        """Let go of what was kept warm; corrections are written already."""
        self._open()

    # What changes.

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
        kept = {path: slot for path, slot in slots.items() if path in named}
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
        self._assembler.check(changed)
        self._change(changed)

    def rate(self, path: str, stars: int | None) -> None:
        """Give a frame stars, 0 to 5, kept in the index; None takes them back. Raises as ``correct``."""
        self.correct({path: {"stars": None if stars is None else str(stars)}})

    def turn(self, path: str, degrees: int | None) -> None:
        """Say how far clockwise a frame must be turned to be upright; it is measured again. Raises as ``correct``."""
        self.correct({path: {"turn": None if degrees is None else str(degrees)}})

    def rescale(self, path: str, scale: str | None) -> None:
        """Say that a frame is "wide", "medium" or "close", in the index; None takes it back. Raises as ``correct``."""
        self.correct({path: {"scale": scale}})

    def correct(self, said: Said) -> None:
        """Say of frames, by path, what counts against what was measured, as ``setsolver frames --set`` does.

        Raises
        ------
        NoSuchFrame
            Where the catalog has no frame of this path. BadInput : where what is said is nothing that can be said, or
            the session has no folder to keep it in. Nothing changes then.
        """
        unsaid, kept = self._write(said)
        self._done(_Step(self.brief, self.brief, unsaid, kept))

    def undo(self) -> bool:
        """Take back the last change; False where there is none. Raises as ``correct``, and changes nothing then."""
        if not self._undo:
            return False
        step = self._undo[-1]
        if step.unsaid:
            self._write(step.unsaid)  # which may fail: nothing has changed then
        self._redo.append(self._undo.pop())
        self.brief = step.before
        return True

    def redo(self) -> bool:
        """Make the change again that was taken back last; False where there is none. Raises as ``undo``."""
        if not self._redo:
            return False
        step = self._redo[-1]
        if step.said:
            self._write(step.said)
        self._undo.append(self._redo.pop())
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

    # What is asked.

    def solve(self) -> Outcome:
        """Return the outcome under the brief as it is now: the best set, or why there is none."""
        return self.outcome(alternates=0)

    def alternates(self, most: int = 3, *, differ: int | None = None) -> Outcome:
        """Return the outcome with so many further sets; see ``outcome``."""
        return self.outcome(alternates=most, differ=differ)

    def nearest(self) -> Nearest | None:
        """Return the nearest brief that has a set, where this one has none; None where it has, or none was found."""
        try:
            solution = self._answer(self.assembly, 0, None)
        except NoSet:
            return nearest(self, ())
        return None if solution.best is not None else nearest(self, solution.conflict)

    def ways_out(self, most: int = 6) -> list[Nearest]:
        """Return the briefs nearest to this one that have a set, where this one has none, the nearest first."""
        try:
            solution = self._answer(self.assembly, 0, None)
        except NoSet:
            return list(islice(ways_out(self, ()), most))
        return [] if solution.best is not None else list(islice(ways_out(self, solution.conflict), most))

    def outcome(self, *, alternates: int = 3, differ: int | None = None, prices: bool = False) -> Outcome:
        """Return the best set first, then alternates, or why there is no set.

        Parameters
        ----------
        alternates : how many further sets. differ : by how many frames at least; None = half the set.
        prices : also say what each hard rule costs, and by which small changes of the brief the best set would gain.

        Raises
        ------
        BadBrief
            Where the brief does not fit the catalog at all, or its prints the wall.
        """
        check_wall(self.brief)
        try:
            assembly = self.assembly
        except NoSet as error:
            return without_set(self.snapshot, self.brief, error)
        waited = make_ready()
        solution = self._answer(assembly, alternates, differ)
        outcome = to_outcome(assembly, solution, differ=self._differ(differ), notes=_compiled(waited))
        if not prices or solution.best is None:
            return outcome
        near, priced = near_misses(self, solution.best), rule_prices(assembly, solution.best, self.effort)
        return outcome.model_copy(update={"near": near, "prices": priced})

    def prices(self) -> Outcome:
        """Return the outcome with what each hard rule costs, and near misses; see ``outcome``."""
        return self.outcome(alternates=0, prices=True)

    def swaps(self, slot: int | str, most: int = 10, *, resolve: bool = True) -> Iterator[SwapFound]:
        """Yield the best sets with another frame in one place of the best set, the best first.

        Parameters
        ----------
        slot : the place as the set hangs, counted from 1; or the path of the frame there.
        most : how many at most. resolve : also solve for the best set with each newcomer, whoever else must change.

        Raises
        ------
        BadInput
            Where there is no set, or no such place or frame in it.
        """
        assembly = self.assembly
        yield from swaps_of(
            assembly, self._best(assembly), slot, most, self._solver(assembly) if resolve else None, self.effort
        )

    def earnings(self) -> dict[str, float]:
        """Return by path what each frame would gain the best set in its best place there, all others kept.

        Frames that could take no place are left out; those of the set gain 0. Raises BadInput where there is no set.
        """
        assembly = self.assembly
        return earnings_of(assembly, self._best(assembly))

    def weight_prices(self) -> list[WeightPrice]:
        """Return what each weight gains its own rules and costs the others. Raises BadInput where there is no set."""
        return weight_prices(self, self._best(self.assembly))

    def why(self, path: str) -> dict[str, Any]:
        """Return the document ``setsolver/why`` of one frame and the best set.

        Raises
        ------
        NoSuchFrame
            Where the catalog has no such frame. BadInput : where there is no set.
        """
        from setsolver.usecases.why import why_in  # noqa: PLC0415 - stands on this module

        best = self.solve().best
        if best is None:
            raise BadInput("there is no set to ask about; session.solve() says why")
        return why_in(self, best, path)

    def check(self, paths: Sequence[str]) -> dict[str, Any]:
        """Return the document ``setsolver/check`` of a set made by hand; raises as ``usecases.check.check``."""
        from setsolver.usecases.check import check  # noqa: PLC0415

        return check(self.snapshot, self.brief, paths, self.effort)

    def gaps(self) -> dict[str, Any]:
        """Return the document ``setsolver/gaps``: what to shoot."""
        from setsolver.usecases.gaps import gaps  # noqa: PLC0415

        return gaps(self.snapshot, self.brief, self.effort)

    @property
    def assembly(self) -> Assembly:
        """The brief on the catalog as arrays with words; raises what ``rules.assemble`` raises."""
        return self.assembly_of(self.brief)

    def assembly_of(self, brief: Brief) -> Assembly:
        """Return another brief on the catalog, without a change of the session; raises as ``assembly``."""
        return self._assembler.assembly(brief)

    def solution_of(self, assembly: Assembly) -> Solution:
        """Return the best set of an assembly of this session, or why there is none, without a change of the session."""
        return solve(assembly.problem, self.effort, self._solver(assembly))

    # How.

    def _best(self, assembly: Assembly) -> Choice:
        best = self._answer(assembly, 0, None).best
        if best is None:
            raise BadInput("there is no set to swap in; session.solve() says why")
        return best

    def _differ(self, differ: int | None) -> int:
        size = self.brief.size
        return min(size, default_difference(size) if differ is None else differ)

    def _answer(self, assembly: Assembly, alternates: int, differ: int | None) -> Solution:
        differ = self._differ(differ)
        key = f"{alternates} {differ} {self.brief.model_dump_json()}"
        if key not in self._answers:
            if self._likes is None:
                self._likes = likes_of(self.snapshot)
            answer = solve_with_alternates(
                assembly.problem, self.effort, kinds_of(alternates), differ, self._likes, self._solver(assembly)
            )
            self._answers = dict([*self._answers.items()][1 - ANSWERS_KEPT :]) | {key: answer}
        return self._answers[key]

    def _solver(self, assembly: Assembly) -> Warm:
        """Return the warm solver, with what it knows carried over to the rows of this assembly."""
        if self._warm is None:
            self._warm = Warm(assembly.problem, seed=self.effort.seed, workers=self.effort.workers)
        elif self._rows is not None and self._rows.table is not assembly.table:
            self._warm.moved(_moved(self._rows, assembly))
        self._rows = assembly
        return self._warm

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

    def named(self, patterns: tuple[str, ...]) -> tuple[str, ...]:
        """Return the paths of the frames that paths or globs of the brief name."""
        return tuple(sorted(self._named("include", patterns)))

    def without(self, patterns: tuple[str, ...], gone: set[str]) -> tuple[str, ...]:
        """Return the patterns without some frames; a glob that named any of them becomes the paths that are left."""
        everyone, kept = paths_of(self.snapshot.frames), list[str]()
        for pattern in patterns:
            if pattern in gone:
                continue
            if not any(fnmatchcase(path, pattern) for path in gone):
                kept.append(pattern)
                continue
            kept += [everyone[at] for at in matching(pattern, everyone) if everyone[at] not in gone]
        return tuple(dict.fromkeys(kept))

    def _change(self, brief: Brief) -> None:
        if brief != self.brief:
            self._done(_Step(self.brief, brief))

    def _done(self, step: _Step) -> None:
        self.brief = step.after
        self._undo.append(step)
        self._redo.clear()

    def _home(self) -> Path:
        if self.folder is None:
            raise BadInput("this session has no folder to keep corrections in; open it with Catalog.open(...).session")
        return self.folder

    def _write(self, said: Said) -> tuple[Said, Said]:
        """Keep corrections in the index and look at the catalog anew; what was known of sets stays known.

        Returns what was said before and what is said now. Where what follows the write fails, it is taken back.
        """
        from setsolver.usecases.frames import correct  # noqa: PLC0415 - a session without a folder needs no database
        from setsolver.usecases.index import open_index  # noqa: PLC0415
        from setsolver.usecases.looking_again import looked_again  # noqa: PLC0415

        folder = self._home()
        with open_index(folder) as store:
            known = store.corrections()
        kept = correct(folder, said)
        unsaid = {path: {name: known.get(path, {}).get(name) for name in names} for path, names in kept.items()}
        try:
            self.snapshot = looked_again(folder, self.snapshot, kept)
        except BaseException:
            correct(folder, unsaid)
            raise
        warm, rows = self._warm, self._rows
        self._open()
        self._warm, self._rows = warm, rows
        return unsaid, kept


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
        where = ".".join(str(part) for part in first["loc"]) or "the brief"
        raise BadBrief(f"{where}: {first['msg']}; the value given is {first['input']!r}") from error


def _moved(old: Assembly, new: Assembly) -> Ints:
    """Return for each rendition of the old assembly the same one's row in the new, -1 where it is gone."""
    paths = paths_of(new.snapshot.frames)
    known = paths_of(old.snapshot.frames)
    if known == paths:
        frame = old.table.frame
    else:
        place = {path: at for at, path in enumerate(paths)}
        frame = np.array([place.get(path, -1) for path in known], dtype=np.int64)[old.table.frame]
    return same_rows(new.table.frame, _as_numbers(new.table), frame, _as_numbers(old.table))


def _as_numbers(table: CropTable) -> Floats:
    """Return by what renditions of one frame are told apart, [M, 6]."""
    return np.column_stack([table.linear == 1.0, table.box, table.level])


def _compiled(seconds: float) -> tuple[str, ...]:
    """Return a note where compiling kept the user waiting beyond the time of solving that the outcome says."""
    if seconds < WORTH_SAYING:
        return ()
    return (f"The solver was compiled first, once after installing: {seconds:.0f} s more than the time of solving.",)
