"""What a rule costs, and what a wish costs, in points, each between two bounds."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from setsolver.solver.ruleset import Rule
from setsolver.solver.search import Found, search

if TYPE_CHECKING:
    from setsolver.domain.problem import Problem
    from setsolver.domain.solution import Choice

__all__ = ["Price", "of_frame", "of_rule", "priced_rules"]


@dataclass(frozen=True)
class Price:
    """The price of a rule or a wish.

    Attributes
    ----------
    about : the rule as ``Rule`` writes it, or "with[f]" and "without[f]" for frame f in and out.
    points : of a rule: gained were it dropped; of a wish: lost were it granted (negative only where the wish overrules
        the problem's own include or exclude). None where no set grants the wish, or none was found in time.
    least, most : the true price lies between them, whatever better sets there may be; inf where none may exist.
    proven : True where the price is exact to the proof tolerance, or the wish is proven impossible.
    choice : the set that shows it; None where the best set stays the best, or where there is none.
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


def of_frame(problem: Problem, best: Choice, frame: int, *, inside: bool, **options: Any) -> Price:
    """Return the points lost in the best set with ``frame`` in, or out where ``inside`` is False.

    An include or exclude of this very frame is set aside; all other rules stay.

    Raises
    ------
    ValueError
        For a frame without a rendition.
    """
    if frame not in problem.frame:
        raise ValueError(f"frame {frame} has no rendition in this problem")
    about = f"{'with' if inside else 'without'}[{frame}]"
    if (frame in problem.frame[list(best.chosen)]) is inside:
        return Price(about, 0.0, 0.0, best.gap, best.proven, best)
    include, exclude = (_less(array, frame) for array in (problem.include, problem.exclude))
    wished = replace(
        problem,
        include=np.append(include, frame) if inside else include,
        exclude=exclude if inside else np.append(exclude, frame),
    )
    impossible = len(wished.include) > problem.size
    found = Found(None, -np.inf, 0, finished=True) if impossible else search(wished, **options)
    if found.choice is None:
        return Price(about, None, best.score - found.bound, np.inf, found.finished)
    lost, proven = best.score - found.choice.score, best.proven and found.choice.proven
    return Price(about, lost, best.score - found.bound, best.bound - found.choice.score, proven, found.choice)


def _less(frames: Any, frame: int) -> Any:
    return frames[frames != frame]


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
