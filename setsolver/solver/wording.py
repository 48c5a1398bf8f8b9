"""Rules of a problem in plain words, and the way out of a clash."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import ceil
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from setsolver.domain.problem import Problem
    from setsolver.solver.ruleset import Rule

__all__ = ["Names", "frames_able", "rule_in_words", "way_out"]


@dataclass(frozen=True)
class Names:
    """What roles, tone axes, group rows and frames are called; where a name is missing, its number is said."""

    roles: Sequence[str] = ()
    axes: Sequence[str] = ()
    groups: Sequence[str] = ()
    frames: Mapping[int, str] = field(default_factory=dict)

    def role(self, at: int) -> str:
        """Return the role's name."""
        return self.roles[at] if at < len(self.roles) else f"role {at}"

    def axis(self, at: int) -> str:
        """Return the tone axis's name."""
        return self.axes[at] if at < len(self.axes) else f"tone {at}"

    def group(self, at: int) -> str:
        """Return what one label of the group row is called."""
        return self.groups[at] if at < len(self.groups) else f"label of group {at}"

    def frame(self, frame: int) -> str:
        """Return the frame's name."""
        return self.frames.get(int(frame), f"frame {frame}")


def frames_able(problem: Problem, role: int) -> int:
    """Return how many frames can play a role, excluded ones left out."""
    able = ~np.isnan(problem.gain[:, role]) & ~np.isin(problem.frame, problem.exclude)
    return len(np.unique(problem.frame[able]))


def rule_in_words(problem: Problem, rule: Rule, names: Names) -> str:
    """Return what the rule asks, in words."""
    key, at = rule.key, rule.at or 0
    if key == "size":
        return f"a set of {problem.size}"
    if key in ("role_min", "role_max"):
        return f"at {'least' if key == 'role_min' else 'most'} {getattr(problem, key)[at]} of {names.role(at)}"
    if key == "gain":
        count = frames_able(problem, at)
        return f"{count or 'no'} frame{'s' if count > 1 else ''} can be {names.role(at)}"
    if key == "tone_reach":
        return f"reach of {names.axis(at)} {problem.tone_reach[at]:g}"
    if key == "group_cap":
        return f"at most {problem.group_cap[at]} of one {names.group(at)}"
    if key in ("conflict", "exclude") and rule.at is None:
        many, what = len(getattr(problem, key)), ("pair", "not both in") if key == "conflict" else ("frame", "out")
        return f"{many} {what[0]}{'' if many == 1 else 's'} {what[1]}"
    if key == "conflict":
        one, other = problem.conflict[at]
        return f"not both {names.frame(one)} and {names.frame(other)}"
    return f"{names.frame(getattr(problem, key)[at])} {'in' if key == 'include' else 'out'}"


def way_out(problem: Problem, rule: Rule, value: float | None, names: Names) -> str:
    """Return the smallest loosening in words, "" where no value of this rule alone helps."""
    key, at = rule.key, rule.at or 0
    if value is None:
        return ""
    if key == "tone_reach":  # rounded up, so that the number a person types is enough
        return f"reach of {names.axis(at)} {problem.tone_reach[at]:g} -> {ceil(value * 100 - 1e-7) / 100:g}"
    if key == "size":
        return f"a set of {value:.0f}"
    if key == "gain":
        more = "one more frame" if value == 1 else f"{value:.0f} more frames"
        return f"{more} for {names.role(at)}"
    if key in ("role_min", "role_max"):
        return f"at {'least' if key == 'role_min' else 'most'} {value:.0f} of {names.role(at)}"
    if key == "group_cap":
        return f"{value:.0f} of one {names.group(at)}"
    return {
        "conflict": "let both in",
        "include": "drop this wish",
        "exclude": "drop this wish" if rule.at is not None else "drop one of these wishes",
    }[key]
