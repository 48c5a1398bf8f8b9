"""The best swaps for one place of a set: what another frame gains or costs, there and in a set built around it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.columns import paths_of
from setsolver.errors import BadInput
from setsolver.solver.swaps import gains, swaps
from setsolver.usecases.outcome import set_found

if TYPE_CHECKING:
    from setsolver.domain.outcome import SetFound
    from setsolver.domain.problem import Problem
    from setsolver.domain.solution import Choice, Solution
    from setsolver.rules import Assembly
    from setsolver.solver import Warm
    from setsolver.usecases.effort import Effort

__all__ = ["SwapFound", "earnings_of", "swaps_of"]


@dataclass(frozen=True, eq=False)
class SwapFound:
    """Another frame in one place of a set.

    Attributes
    ----------
    path : the newcomer. leaves : the frame whose place it takes.
    points : gained where all others stay, below 0 where lost. Every frame was tried, so this is exact.
    best_points : gained by the best set with the newcomer in it, whoever else must change; None where that was not
        asked, or no set was found in time.
    proven : True where no set with the newcomer gains more than ``best_points``.
    """

    path: str
    leaves: str
    points: float
    best_points: float | None
    proven: bool
    _assembly: Assembly
    _row: int
    _swapped: Choice
    _base: Choice
    _best: Choice | None = None

    @cached_property
    def found(self) -> SetFound:
        """The set with the newcomer in the place, all others as they were."""
        return set_found(self._assembly, self._swapped)

    @cached_property
    def best(self) -> SetFound | None:
        """The best set with the newcomer in it; None where there is no ``best_points``."""
        return None if self._best is None else set_found(self._assembly, self._best)

    def solved(self, warm: Warm, effort: Effort) -> SwapFound:
        """Return the same with the best set with the newcomer solved for, the frame that leaves wished in or not."""
        assembly = self._assembly
        leaves = next(row for row in self._base.chosen if assembly.renditions[row].frame.path == self.leaves)
        problem = _without_wish(assembly.problem, int(assembly.problem.frame[leaves]))
        around = _around(problem, self._row, warm, effort).best
        gained = None if around is None else around.score - self._base.score
        return replace(self, best_points=gained, proven=around is not None and around.proven, _best=around)


def swaps_of(assembly: Assembly, best: Choice, slot: int | str, most: int, *, wished: bool) -> Iterator[SwapFound]:
    """Yield the best swaps for a place, each as far as all others stay; see ``Session.swaps``."""
    place = _place(assembly, best, slot)
    leaves = assembly.renditions[best.chosen[place]].frame
    problem = _without_wish(assembly.problem, leaves.id) if wished else assembly.problem
    for swap in swaps(problem, best, place, most):
        path = assembly.renditions[swap.row].frame.path
        yield SwapFound(
            path,
            leaves.path,
            swap.points,
            None,
            proven=False,
            _assembly=assembly,
            _row=swap.row,
            _swapped=swap.choice,
            _base=best,
        )


def earnings_of(assembly: Assembly, best: Choice) -> dict[str, float]:
    """Return by path what each frame that could take a place of a set would gain it there; 0 for its own."""
    frames, points = gains(assembly.problem, best)
    paths = paths_of(assembly.snapshot.frames)
    own = {assembly.renditions[row].frame.path: 0.0 for row in best.chosen}
    return {paths[frame]: float(gained) for frame, gained in zip(frames, points, strict=True)} | own


def _place(assembly: Assembly, best: Choice, slot: int | str) -> int:
    """Return the position in ``best.chosen`` of a place as the set hangs, counted from 1, or of a frame's path."""
    hung = [frame.path for frame in set_found(assembly, best).frames]
    if isinstance(slot, str) and slot not in hung:
        raise BadInput(f"slot {slot!r}: this frame is not in the set; it holds {', '.join(hung)}")
    if not isinstance(slot, str) and not 1 <= slot <= len(hung):
        raise BadInput(f"slot {slot}: the set has places 1 to {len(hung)}")
    path = slot if isinstance(slot, str) else hung[slot - 1]
    return next(at for at, row in enumerate(best.chosen) if assembly.renditions[row].frame.path == path)


def _without_wish(problem: Problem, frame: int) -> Problem:
    """Return a problem whose set may do without a frame that was wished in."""
    if frame not in problem.include:
        return problem
    return problem.replaced(include=problem.include[problem.include != frame])


def _around(problem: Problem, row: int, warm: Warm, effort: Effort) -> Solution:
    """Return the best set with a rendition's frame in."""
    wished = problem.replaced(include=np.union1d(problem.include, problem.frame[[row]]))
    return warm.ask(wished, time_limit=effort.time_limit, stop=effort.stop, progress=effort.progress)
