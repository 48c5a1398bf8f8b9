"""A term that pays each frame a worth of its own, and a frame whose worth is not known yet the others' mean."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Sequence
from typing import ClassVar

from setsolver.domain.columns import known_or_mean
from setsolver.domain.frame import Frame
from setsolver.domain.problem import Floats
from setsolver.rules.draft import Draft
from setsolver.rules.term import GainTerm

__all__ = ["WorthTerm"]


class WorthTerm(GainTerm):
    """A frame earns its worth in every crop and role; what a quick scan left for later counts as the others' mean.

    Attributes
    ----------
    none_known : what each frame earns where the worth of none is known.
    """

    none_known: ClassVar[float] = 0.5

    @abstractmethod
    def worths(self, frames: Sequence[Frame]) -> Floats:
        """Return what each frame is worth, 0 to 1, NaN where that is not known: [F]."""

    def apply(self, draft: Draft) -> None:
        """Pay the worths."""
        draft.pay(self, known_or_mean(self.worths(draft.frames), self.none_known)[draft.table.frame])
