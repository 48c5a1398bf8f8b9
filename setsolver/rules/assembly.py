"""A problem with everything needed to speak about it: renditions, terms, what each gives, and words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from setsolver.crops.rendered import Renditions
from setsolver.crops.renditions import CropTable
from setsolver.domain.brief import Brief, Weights
from setsolver.domain.outcome import Clashing, RuledOut
from setsolver.domain.problem import Problem
from setsolver.domain.slot import Slot
from setsolver.domain.snapshot import Snapshot
from setsolver.domain.unweighted import Axis, Unweighted
from setsolver.rules.chosen import ChosenSet, Member
from setsolver.rules.draft import Cap, Parted
from setsolver.rules.registry import weights_of
from setsolver.rules.term import Term

__all__ = ["Assembly"]


@dataclass(frozen=True, eq=False)
class Assembly:
    """What terms make of a catalog and a brief. M renditions, R slots.

    slots : [R], the problem's roles. renditions : [M], aligned with the problem's rows; the problem numbers frames by
    their ids. terms : all that spoke, in their order. parts : what they give, unweighted. problem : the same under the
    brief's weights. caps : as in the problem's groups. ruled_out : what was taken out, in the order in which terms
    spoke. words : the problem's keys, such as "role_min[2]" or "group_cap[0]", in plain words. reasons : why each frame
    that cannot be in is out, by id, excluded frames among them. clashes : wishes that have no place; only a modest
    assembly can have any. waived : what wishes waive, in sentences by frame. table : the crops behind the renditions.
    parted : the problem's conflicts, in its order: of a hundred thousand hardly one is ever spoken of.
    """

    snapshot: Snapshot
    brief: Brief
    slots: tuple[Slot, ...]
    terms: tuple[Term, ...]
    renditions: Renditions
    parts: Unweighted
    problem: Problem
    caps: tuple[Cap, ...]
    ruled_out: tuple[RuledOut, ...]
    words: dict[str, str]
    reasons: dict[int, str]
    clashes: tuple[Clashing, ...]
    waived: Mapping[int, tuple[str, ...]]
    table: CropTable
    parted: tuple[Parted, ...] = ()

    @cached_property
    def weights(self) -> Mapping[str, float]:
        """Points for one unit of each term, by the term's name."""
        return weights_of(self.terms, self.brief.weights)

    def score(self, worth: Mapping[str, float]) -> float:
        """Return the points of a set from its ``phi``: the sum of weight times worth over the terms."""
        return sum(self.weights.get(term, 0.0) * value for term, value in worth.items())

    def reweighed(self, weights: Weights) -> Assembly:
        """Return the assembly under other weights: nothing is cut or measured again, no rule changes.

        Changes that were made to the problem alone are lost.
        """
        brief = self.brief.model_copy(update={"weights": weights})
        return replace(self, brief=brief, problem=self.parts.weigh(weights_of(self.terms, weights)))

    @property
    def notes(self) -> tuple[str, ...]:
        """What wishes waive, in sentences."""
        return tuple(note for says in self.waived.values() for note in says)

    @property
    def axes(self) -> tuple[Axis, ...]:
        """The problem's tone axes, in its order."""
        return tuple(self.parts.axes[at] for at in self.parts.kept(self.weights))

    def chosen_set(self, chosen: tuple[int, ...], roles: tuple[int, ...], look: tuple[float, ...]) -> ChosenSet:
        """Return a set as terms see it. chosen, roles : indexes [N] of the problem. look : in the problem's axes."""
        numbers = (tuple(int(row) for row in chosen), tuple(int(role) for role in roles))
        return ChosenSet(self, *numbers, tuple(float(value) for value in look))

    def member(self, row: int, role: int) -> Member:
        """Return a rendition in a role, as terms explain it."""
        return Member(
            snapshot=self.snapshot,
            brief=self.brief,
            rendition=self.renditions[row],
            slot=self.slots[role],
            row=row,
            column=role,
            marks=self.table.marks.of(row),
            tilt=float(self.table.tilt[row]),
        )

    def says(self, key: str) -> str:
        """Return a rule of the problem in plain words; the key itself where there are none."""
        name, _, at = key.rstrip("]").partition("[")
        if name == "conflict" and at:
            return self._parts(int(at))
        return self.words.get(key, self.words.get(name, key))

    def _parts(self, at: int) -> str:
        """Return a conflict of the problem in words, by its number."""
        for pairs, each in self.parted:
            if at < len(pairs):
                return each(*(self.snapshot.frames[frame].path for frame in pairs[at].tolist()))
            at -= len(pairs)
        return self.words.get("conflict", "conflict")
