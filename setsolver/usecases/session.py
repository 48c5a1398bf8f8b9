"""A session: a catalog and a brief kept warm, so that a changed wish is answered at once.

Everything that a person asks for stands on it. Questions are answered by the solver that answered the ones before
(``warm_answers``), from arrays that changes leave as they are (``assembling``).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

from setsolver.domain.brief import Brief
from setsolver.domain.last import forget_all
from setsolver.errors import BadInput, NoSet
from setsolver.layout import check_wall
from setsolver.solver.ready import make_ready
from setsolver.usecases.assembling import Assembler
from setsolver.usecases.changing import Changing
from setsolver.usecases.effort import Effort
from setsolver.usecases.near import Nearest, near_misses, nearest, ways_out
from setsolver.usecases.outcome import to_outcome, without_set
from setsolver.usecases.prices import rule_prices
from setsolver.usecases.solve import solve
from setsolver.usecases.swaps import SwapFound, earnings_of, swaps_of
from setsolver.usecases.warm_answers import WarmAnswers, default_difference
from setsolver.usecases.weight_prices import WeightPrice, weight_prices

if TYPE_CHECKING:
    from setsolver.domain.outcome import Outcome, Price
    from setsolver.domain.snapshot import Snapshot
    from setsolver.domain.solution import Choice, Solution
    from setsolver.rules import Assembly

__all__ = ["Session", "default_difference"]

WORTH_SAYING = 1.5
"""Seconds of compiling, or of reading what was compiled, from which they are said."""


class Session(Changing):
    """A catalog with a brief, kept warm; what can be changed in it is ``Changing``'s.

    Parameters
    ----------
    snapshot : the catalog. brief : what set is wanted.
    effort : time limit, seed and workers of every search; the seed makes answers the same for the same changes.
    folder : of the catalog, for corrections; None where there is none, and nothing can be corrected.
    """

    def __init__(
        self, snapshot: Snapshot, brief: Brief, *, effort: Effort = Effort(), folder: Path | None = None
    ) -> None:
        super().__init__(snapshot, brief, folder)
        self.effort = effort
        self._open()

    def _open(self) -> None:
        self._assembler, self._answers = Assembler(self.snapshot), WarmAnswers(self.effort)

    def __enter__(self) -> Self:
        """Return the session."""
        return self

    def __exit__(
        self, _kind: type[BaseException] | None, _error: BaseException | None, _: TracebackType | None
    ) -> None:
        """Let go of what was kept warm; corrections are written already."""
        self._open()
        forget_all()

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

    def ways_out(self, most: int = 6) -> Iterator[Nearest]:
        """Yield the briefs nearest to this one that have a set, where this one has none, the nearest first."""
        try:
            solution = self._answer(self.assembly, 0, None)
        except NoSet:
            yield from islice(ways_out(self, ()), most)
            return
        if solution.best is None:
            yield from islice(ways_out(self, solution.conflict), most)

    def outcome(
        self, *, alternates: int = 3, differ: int | None = None, prices: bool = False, repeats: bool = True
    ) -> Outcome:
        """Return the best set first, then alternates, or why there is no set.

        Parameters
        ----------
        alternates : how many further sets. differ : by how many frames at least; None = half the set.
        prices : also say what each hard rule costs, and by which small changes of the brief the best set would gain.
        repeats : say which repeats of its frames were left out; nobody need wait for it who does not show them.

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
        outcome = to_outcome(assembly, solution, differ=self._differ(differ), notes=_compiled(waited), repeats=repeats)
        if not prices or solution.best is None:
            return outcome
        near, priced = near_misses(self, solution.best), rule_prices(assembly, solution.best, self.effort)
        return outcome.model_copy(update={"near": near, "prices": priced})

    def prices(self) -> Outcome:
        """Return the outcome with what each hard rule costs, and near misses; see ``outcome``."""
        return self.outcome(alternates=0, prices=True)

    def rule_prices(self) -> tuple[Price, ...]:
        """Return what each hard rule costs, the dearest first, without near misses; raises as ``weight_prices``."""
        assembly = self.assembly
        return rule_prices(assembly, self._best(assembly), self.effort)

    def swaps(
        self, slot: int | str, most: int = 10, *, resolve: bool = True, wished: bool = False
    ) -> Iterator[SwapFound]:
        """Yield the best sets with another frame in one place of the best set, the best first.

        Parameters
        ----------
        slot : the place as the set hangs, counted from 1; or the path of the frame there.
        most : how many at most. resolve : also solve for the best set with each newcomer, whoever else must change.
        wished : also where the frame there is wished in, which else stays; its wish is left out then.

        Raises
        ------
        BadInput
            Where there is no set, or no such place or frame in it.
        """
        assembly = self.assembly
        found = swaps_of(assembly, self._best(assembly), slot, most, wished=wished)
        yield from map(self.proven, found) if resolve else found

    def proven(self, swap: SwapFound) -> SwapFound:
        """Return a swap with the best set with its newcomer solved for, too."""
        return swap.solved(self._answers.solver(self.assembly), self.effort)

    def earnings(self) -> dict[str, float]:
        """Return by path what each frame would gain the best set in its best place there, all others kept.

        Frames that could take no place are left out; those of the set gain 0. Raises BadInput where there is no set.
        """
        assembly = self.assembly
        return earnings_of(assembly, self._best(assembly))

    def weight_prices(self) -> Iterator[WeightPrice]:
        """Yield what each weight gains its own rules and costs the others. Raises BadInput where there is no set."""
        yield from weight_prices(self, self._best(self.assembly))

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
        return solve(assembly.problem, self.effort, self._answers.solver(assembly))

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
        return self._answers.answer(assembly, alternates, self._differ(differ))

    def _known_answers(self) -> dict[str, Any]:
        return self._answers.answers

    def _answer_anew(self, answers: dict[str, Any]) -> None:
        self._answers.answers = answers


def _compiled(seconds: float) -> tuple[str, ...]:
    """Return a note where compiling kept the user waiting beyond the time of solving that the outcome says."""
    if seconds < WORTH_SAYING:
        return ()
    return (f"The solver was compiled first, once after installing: {seconds:.0f} s more than the time of solving.",)
