"""What a rule costs, in points, between two bounds."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from setsolver.solver.ruleset import Rule
from setsolver.solver.search import search

if TYPE_CHECKING:
    from setsolver.domain.problem import Problem
    from setsolver.domain.solution import Choice

__all__ = ["Price", "of_rule", "priced_rules"]


@dataclass(frozen=True)
class Price:
    """The price of a rule.

    Attributes
    ----------
    about : the rule as ``Rule`` writes it.
    points : gained were it dropped.
    least, most : the true price lies between them, whatever better sets there may be.
    proven : True where the price is exact to the proof tolerance.
    choice : the set that shows it; None where the best set stays the best.
    """

    about: str
    points: float | None
    least: float
    most: float
    proven: bool
    choice: Choice | None = None

    def to_json(self) -> dict[str, Any]:
        """Return the entry of a document; what is not finite is null."""
        return {
            "about": self.about,
            "points": self.points,
            "least": self.least if np.isfinite(self.least) else None,
            "most": self.most if np.isfinite(self.most) else None,
            "proven": self.proven,
            "set": None if self.choice is None else self.choice.to_json(),
        }


def priced_rules(problem: Problem) -> list[Rule]:
    """Return the rules that have a price: all that can be dropped without changing what a score means.

    Size has none, because scores of sets of other sizes do not compare; who can play a role has none, because nobody
    said what a rendition would earn in a role that it cannot play. Conflicts are one rule, and so are excludes.
    """
    places = {
        "role_min": np.flatnonzero(problem.role_min > 0),
        "role_max": np.flatnonzero(problem.role_max < problem.size),
        "tone_reach": np.flatnonzero(np.isfinite(problem.tone_reach)),
        "group_cap": np.flatnonzero(problem.group_cap < problem.size),
        "include": np.arange(len(problem.include)),
    }
    rules = [Rule(key, int(at)) for key, found in places.items() for at in found]
    return rules + [Rule(key) for key in ("conflict", "exclude") if len(getattr(problem, key))]


def of_rule(problem: Problem, best: Choice, rule: Rule, **options: Any) -> Price:
    """Return the points gained were ``rule`` dropped.

    Parameters
    ----------
    best : the best set under all rules; its bound need not be reached.
    options : deadline, seed, workers, stop of ``search``.
    """
    # the best set stays valid, so it is handed on: a floor alone would leave the search without a set to steer by
    found = search(_without(problem, rule), start=(best,), **options)
    better = found.choice if found.choice is not None and found.choice.score > best.score else None
    gained = 0.0 if better is None else better.score - best.score
    least = 0.0 if better is None else max(0.0, better.score - best.bound)
    most = max(gained, found.bound - best.score)
    proven = best.proven and (found.finished if better is None else better.proven)
    return Price(str(rule), gained, least, most, proven, better)


def _without(problem: Problem, rule: Rule) -> Problem:
    """Return the problem with the rule dropped."""
    if rule.at is None:
        empty: dict[str, Any] = {rule.key: getattr(problem, rule.key)[:0]}
        return replace(problem, **empty)
    if rule.key == "include":
        return replace(problem, include=np.delete(problem.include, rule.at))
    array = np.array(getattr(problem, rule.key))
    array[rule.at] = {"role_min": 0, "tone_reach": np.inf}.get(rule.key, problem.size)
    changes: dict[str, Any] = {rule.key: array}
    return replace(problem, **changes)
