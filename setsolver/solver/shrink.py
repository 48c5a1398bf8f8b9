"""A minimal set of rules that cannot hold together, found with few questions: divide and conquer, with witnesses kept.

The method is QuickXplain (Junker, AAAI 2004): about ``2k log2(n/k) + 2k`` questions for k clashing rules out of n.
Every set that answers "possible" is kept; another question that it answers too is never asked.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from setsolver.solver.feasible import possible
from setsolver.solver.ruleset import Rule, Ruleset, rules_of
from setsolver.solver.witness import broken_by

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from setsolver.domain.problem import Problem

__all__ = ["Minimal", "minimal_clash"]


SINGLES = ("conflict", "exclude")

MOST_SINGLE = 12
"""Conflicts or excludes are named one by one up to so many; more are said as one rule."""


class _TooMany(Exception):  # noqa: N818 - leaves the refinement, never this file
    """More single rules clash than a person would read."""


class Minimal:
    """Asks which rules can hold together, and remembers the sets found.

    ``unsure`` is True once a question ran out of time; then the answer clashes but need not be minimal.
    """

    def __init__(
        self,
        problem: Problem,
        *,
        seed: int = 0,
        deadline: float | None = None,
        stop: Callable[[], bool] | None = None,
    ) -> None:
        self.problem, self.seed, self.deadline, self.stop = problem, seed, deadline, stop
        self.rules = rules_of(problem)
        self.full = Ruleset.of(problem)
        self.unsure, self.singles = False, 0
        self.witnesses: list[set[Rule]] = []

    def clash(self, kept: Sequence[Rule]) -> bool:
        """True where the kept rules are proven not to hold together; False where they do, or where time ran out."""
        keep = set(kept)
        if any(not broken & keep for broken in self.witnesses):
            return False
        if self.stop is not None and self.stop():
            self.unsure = True
            return False
        verdict = possible(self._relaxed(keep), seed=self.seed, deadline=self.deadline)
        if verdict.answer:
            self.witnesses.append(broken_by(self.problem, verdict.chosen, verdict.roles))
        self.unsure |= verdict.answer is None
        return verdict.answer is False

    def _relaxed(self, keep: set[Rule]) -> Ruleset:
        """Return the rules of the problem without those not kept; single conflicts and excludes stand for the whole."""
        single = {key: {rule.at for rule in keep if rule.key == key and rule.at is not None} for key in SINGLES}
        dropped = [rule for rule in self.rules if rule not in keep and not single.get(rule.key)]
        for key, places in single.items():
            if places:
                dropped += [Rule(key, at) for at in range(len(getattr(self.problem, key))) if at not in places]
        return self.full.without(dropped)

    def shrink(self, base: list[Rule], rules: list[Rule], *, grown: bool) -> list[Rule]:
        """Return a minimal part of ``rules`` that clashes together with ``base``; earlier rules are preferred.

        ``grown`` says that base has grown since it was last seen not to clash by itself.

        Raises
        ------
        _TooMany
            Once more single conflicts or excludes are in it than ``MOST_SINGLE``.
        """
        if grown and self.clash(base):
            return []
        if len(rules) == 1:
            self.singles += rules[0].key in SINGLES and rules[0].at is not None
            if self.singles > MOST_SINGLE:
                raise _TooMany
            return rules
        half = len(rules) // 2
        late = self.shrink(base + rules[:half], rules[half:], grown=True)
        return self.shrink(base + late, rules[:half], grown=bool(late)) + late

    def refined(self, clashing: list[Rule], key: str) -> list[Rule]:
        """Return the clashing rules with "all conflicts" or "all excludes" replaced by the few that matter."""
        if Rule(key) not in clashing:
            return clashing
        base = [rule for rule in clashing if rule != Rule(key)]
        singles = [Rule(key, at) for at in range(len(getattr(self.problem, key)))]
        self.singles = 0
        try:
            return base + self.shrink(base, singles, grown=False)
        except _TooMany:
            return clashing


def minimal_clash(
    problem: Problem, *, seed: int = 0, deadline: float | None = None, stop: Callable[[], bool] | None = None
) -> tuple[list[Rule], bool]:
    """Return (rules, minimal): rules that cannot hold together, [] where all can or time ran out before a proof.

    stop : asked before each question; once it is True, no more are asked.
    """
    asked = Minimal(problem, seed=seed, deadline=deadline, stop=stop)
    if not asked.clash(asked.rules):
        return [], not asked.unsure
    clashing = set(asked.shrink([], asked.rules, grown=False))
    ordered = [rule for rule in asked.rules if rule in clashing]
    for key in SINGLES:
        ordered = asked.refined(ordered, key)
    return ordered, not asked.unsure
