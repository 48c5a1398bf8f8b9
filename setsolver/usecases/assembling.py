"""The assembly of a brief that changes: what a change leaves as it is, is not cut, measured or ruled again.

Weights, bars and most pins change the problem's numbers only. A pin of a frame that the rules would take out, another
size of print or another catalog need another assembly; the last few are kept.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.distinct import distinct
from setsolver.errors import BadBrief, NoSet
from setsolver.rules import Assembly, assemble
from setsolver.rules.granting import crowds
from setsolver.rules.registry import faults_of, weights_of
from setsolver.rules.seats import seats_of
from setsolver.rules.wishes import frames_named, wishes_in_words

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief
    from setsolver.domain.problem import Ints
    from setsolver.domain.snapshot import Snapshot

__all__ = ["Assembler"]

KEPT = 6
NO_ARRAYS = {"weights", "name", "says", "title", "client", "photographer", "captions", "taste", "layout", "wall"}
"""Keys of a brief that no array but the weighted ones follows."""


class Assembler:
    """Assembles briefs on one snapshot; ``assembly`` is what ``rules.assemble`` returns, sooner."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot
        self._bases: dict[str, Assembly | None] = {}
        self._last: tuple[Brief, Assembly] | None = None

    @staticmethod
    def check(brief: Brief) -> None:
        """Raise ``BadBrief`` for a weight or a rule that no term has."""
        for says in faults_of(brief).values():
            raise BadBrief(says)

    def assembly(self, brief: Brief) -> Assembly:
        """Return the assembly of a brief; raises what ``rules.assemble`` raises."""
        if self._last is None or self._last[0] is not brief:  # an answer and the words about it ask for the same one
            self._last = brief, self._assembled(brief)
        return self._last[1]

    def _assembled(self, brief: Brief) -> Assembly:
        self.check(brief)
        include = frames_named("include", brief.frames.include, self.snapshot)
        exclude = frames_named("exclude", brief.frames.exclude, self.snapshot)
        seats = seats_of(brief, self.snapshot)
        base = self._base(brief, ())
        if base is not None:
            # the rules would take these out: their wish waives some
            needy = include[~np.isin(include, base.problem.frame)]
            base = self._base(brief, tuple(needy.tolist())) if len(needy) else base
        if base is not None and seats:
            base = _in_their_slots(base, seats, include)
        if base is None or not _serves(base, brief, include, exclude):
            return assemble(self.snapshot, brief)
        return _under(base, brief, include, exclude)

    def _base(self, brief: Brief, needy: tuple[int, ...]) -> Assembly | None:
        """Return the assembly with no wishes but those of the needy, None where that has no place for a set."""
        paths = tuple(self.snapshot.frames[frame].path for frame in needy)
        frames = brief.frames.model_copy(update={"include": paths, "exclude": (), "slots": {}})
        bare = brief.model_copy(update={"frames": frames})
        key = bare.model_dump_json(exclude=NO_ARRAYS)
        if key in self._bases:
            made = self._bases.pop(key)
        else:
            try:
                made = assemble(self.snapshot, bare)
            except NoSet:
                made = None
        self._bases[key] = made  # the one asked for last is the last to go
        for old in list(self._bases)[:-KEPT]:
            del self._bases[old]
        return made


def _in_their_slots(base: Assembly, seats: dict[int, int], include: Ints) -> Assembly | None:
    """Return the base with frames kept out of all slots but their own, None where one that is wished has none then."""
    frame, playable = base.parts.frame, base.parts.playable.copy()
    for one, slot in seats.items():
        playable[np.ix_(frame == one, np.arange(playable.shape[1]) != slot)] = False
    left = frame[playable.any(axis=1)]
    if len(np.setdiff1d(np.intersect1d(include, frame), left)):
        return None
    gain = np.where(playable, base.problem.gain, np.nan)
    return replace(base, parts=replace(base.parts, playable=playable), problem=base.problem.replaced(gain=gain))


def _serves(base: Assembly, brief: Brief, include: Ints, exclude: Ints) -> bool:
    """Return whether the base answers for these wishes: they do not contradict each other, and enough is left."""
    contradict = len(np.intersect1d(include, exclude)) or len(include) > brief.size
    enough = bool((~np.isin(distinct(base.problem.frame), exclude)).sum() >= brief.size)
    return not contradict and enough and not base.clashes and _seated(base, include)


def _seated(base: Assembly, include: Ints) -> bool:
    """Return whether slots have room for all that are wished; where they have not, the rules say so in full."""
    problem = base.problem
    able = [~np.isnan(problem.gain[problem.frame == frame]).all(axis=0) for frame in include]
    return not crowds([np.flatnonzero(slots).tolist() for slots in able], problem.role_max.tolist())


def _under(base: Assembly, brief: Brief, include: Ints, exclude: Ints) -> Assembly:
    """Return the base under the brief's weights and wishes."""
    parts = replace(base.parts, include=include, exclude=exclude)
    weights = weights_of(base.terms, brief.weights)
    same = weights == base.weights
    said = wishes_in_words(base.snapshot, include, exclude)
    words = {
        key: text for key, text in base.words.items() if not key.startswith(("include[", "exclude[", "tone_reach["))
    }
    words |= said.words
    for index, at in enumerate(parts.kept(weights)):
        words[f"tone_reach[{index}]"] = words[f"reach of {parts.axes[at].name}"]
    return replace(
        base,
        brief=brief,
        parts=parts,
        problem=base.problem.wished(include, exclude) if same else parts.weigh(weights),
        words=words,
        reasons=said.reasons | base.reasons,
        ruled_out=(*said.ruled_out, *base.ruled_out),
    )
