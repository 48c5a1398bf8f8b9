"""The hard rules of a problem one by one, so that each can be dropped or loosened alone.

``Ruleset`` holds what feasibility asks of a set, without points. Always in force, because they are what a set is: at
least one rendition, one rendition a frame, one role a rendition. Everything else is a ``Rule`` with the name that the
answer gives it: ``size``, ``gain[:,r]`` (who can play role r), ``role_min[r]``, ``role_max[r]``, ``tone_reach[k]``,
``group_cap[g]``, ``include[i]``, ``conflict`` (all pairs), ``conflict[p]`` (one), ``exclude`` (all), ``exclude[i]``
(one).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NamedTuple, Self

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from setsolver.domain.problem import Floats, Ints, Problem

__all__ = ["Rule", "Ruleset", "rules_of"]


class Rule(NamedTuple):
    """The problem's key and the index in it: None for ``size``, and for all conflicts or all excludes at once."""

    key: str
    at: int | None = None

    def __str__(self) -> str:
        if self.at is None:
            return self.key
        return f"gain[:,{self.at}]" if self.key == "gain" else f"{self.key}[{self.at}]"


@dataclass(frozen=True, eq=False)
class Ruleset:
    """What feasibility asks. M renditions, R roles, K tone axes, G group rows.

    Attributes
    ----------
    size_min, size_max : least and most renditions.
    frame : int64[M]; playable : bool[M, R], who can play which role.
    strangers : int64[R], how many renditions may play role r although they cannot (0 unless loosened).
    role_min, role_max : int64[R], a most at or above the size asks nothing at any size; tone : float64[M, K].
    width : float64[K], reach + slack: the chosen tones may lie at most twice this apart; inf = no rule.
    group, group_cap : int64[G, M], int64[G]; conflict : int64[P, 2]; include, exclude : int64[] frame ids.
    """

    size_min: int
    size_max: int
    frame: Ints
    playable: NDArray[np.bool_]
    strangers: Ints
    role_min: Ints
    role_max: Ints
    tone: Floats
    width: Floats
    group: Ints
    group_cap: Ints
    conflict: Ints
    include: Ints
    exclude: Ints

    @classmethod
    def of(cls, problem: Problem) -> Self:
        """Return all rules of a problem in force."""
        return cls(
            size_min=problem.size,
            size_max=problem.size,
            frame=problem.frame,
            playable=~np.isnan(problem.gain),
            strangers=np.zeros(len(problem.role_min), dtype=np.int64),
            role_min=problem.role_min,
            role_max=np.where(problem.role_max < problem.size, problem.role_max, problem.renditions),
            tone=problem.tone,
            width=problem.tone_reach + problem.tone_slack,
            group=problem.group,
            group_cap=problem.group_cap,
            conflict=problem.conflict,
            include=problem.include,
            exclude=problem.exclude,
        )

    def without(self, rules: Iterable[Rule]) -> Self:
        """Return a copy in which the given rules ask nothing."""
        by_key: dict[str, list[int]] = {}
        for rule in rules:
            every = range(len(getattr(self, rule.key))) if rule.key in ("conflict", "exclude") else ()
            by_key.setdefault(rule.key, []).extend(every if rule.at is None else [rule.at])
        changes: dict[str, object] = {}
        if "size" in by_key:
            changes |= {"size_min": 1, "size_max": len(self.frame)}
        for key, (name, nothing) in _FREE.items():
            if key in by_key:
                value = np.array(getattr(self, name))
                value[by_key[key]] = len(self.frame) if nothing is None else nothing
                changes[name] = value
        for key in ("conflict", "include", "exclude"):
            if key in by_key:
                changes[key] = np.delete(getattr(self, key), by_key[key], axis=0)
        return replace(self, **changes)  # type: ignore[arg-type]


_FREE: dict[str, tuple[str, float | None]] = {
    "gain": ("strangers", None),  # None: as many as there are renditions
    "role_min": ("role_min", 0),
    "role_max": ("role_max", None),
    "tone_reach": ("width", np.inf),
    "group_cap": ("group_cap", None),
}
"""Rule key -> (array of the ruleset, the value that asks nothing)."""


def rules_of(problem: Problem) -> list[Rule]:
    """Return the rules that can bind at all, the ones a person would rather hear about first.

    Conflicts are one rule here, and so are excludes: there may be thousands of them.
    """
    playable = ~np.isnan(problem.gain)
    rules = [Rule("size")]
    rules += [Rule("include", i) for i in range(len(problem.include))]
    rules += [Rule("role_min", int(r)) for r in np.flatnonzero(problem.role_min > 0)]
    rules += [Rule("gain", int(r)) for r in np.flatnonzero(~playable.all(axis=0))]
    rules += [Rule("tone_reach", int(k)) for k in np.flatnonzero(np.isfinite(problem.tone_reach))]
    rules += [Rule("group_cap", g) for g in range(len(problem.group_cap))]
    rules += [Rule("role_max", int(r)) for r in np.flatnonzero(problem.role_max < problem.size)]
    rules += [Rule("conflict")] if len(problem.conflict) else []
    return rules + ([Rule("exclude")] if len(problem.exclude) else [])
