"""Answers of a session, by a solver that answered the ones before; what it knows follows a catalog that changes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.columns import paths_of
from setsolver.domain.known_rows import same_rows
from setsolver.solver import Warm
from setsolver.usecases.alternates import Begun, kinds_of, likes_of, solve_with_alternates

if TYPE_CHECKING:
    from setsolver.crops.renditions import CropTable
    from setsolver.domain.problem import Floats, Ints
    from setsolver.domain.solution import Solution
    from setsolver.rules import Assembly
    from setsolver.usecases.effort import Effort

__all__ = ["WarmAnswers", "default_difference"]

ANSWERS_KEPT = 32


def default_difference(size: int) -> int:
    """Return by how many frames alternates differ unless told otherwise: half the set, rounded up.

    A client who is shown an alternate expects another set, not the same one with a frame swapped (common practice, no
    source).
    """
    return max(1, (size + 1) // 2)


class WarmAnswers:
    """Answers about assemblies of one catalog.

    Parameters
    ----------
    effort : time limit, seed and workers of every search.

    Attributes
    ----------
    answers : what was answered of the catalog as it is looked at; after another look another dictionary, and what is
    known of sets stays known.
    """

    def __init__(self, effort: Effort) -> None:
        self.effort = effort
        self._warm: Warm | None = None
        self._rows: Assembly | None = None
        self.answers: dict[str, Solution] = {}

    def answer(self, assembly: Assembly, alternates: int, differ: int) -> Solution:
        """Return the best set of an assembly and so many alternates, or why there is none.

        What fewer alternates were proven to be is gone on from: the first ones do not depend on those after them.
        """
        asked = f"{differ} {assembly.brief.model_dump_json()}"
        key = f"{alternates} {asked}"
        if key not in self.answers:
            likes = likes_of(assembly.snapshot) if alternates else None  # nothing is to differ from anything else
            solver = self.solver(assembly)
            found = solve_with_alternates(
                assembly.problem,
                self.effort,
                kinds_of(alternates),
                differ,
                likes,
                solver,
                self._begun(alternates, asked),
            )
            if self.effort.stop is not None and self.effort.stop():
                return found  # there may be more to find
            self.answers = dict([*self.answers.items()][1 - ANSWERS_KEPT :]) | {key: found}
        return self.answers[key]

    def _begun(self, alternates: int, asked: str) -> Begun | None:
        for fewer in reversed(range(alternates)):
            known = self.answers.get(f"{fewer} {asked}")
            if known is not None and known.solutions and all(one.proven for one in known.solutions):
                return Begun(known, fewer)
        return None

    def solver(self, assembly: Assembly) -> Warm:
        """Return the warm solver, with what it knows carried over to the rows of this assembly."""
        if self._warm is None:
            self._warm = Warm(assembly.problem, seed=self.effort.seed, workers=self.effort.workers)
        elif self._rows is not None and self._rows.table is not assembly.table:
            self._warm.moved(_moved(self._rows, assembly))
        self._rows = assembly
        return self._warm


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
