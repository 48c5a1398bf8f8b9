"""Rules of the problem said in the words of the brief: clashes with their way out, and broken rules."""

from __future__ import annotations

from math import ceil
from typing import TYPE_CHECKING

from setsolver.domain.outcome import Clashing
from setsolver.domain.rendition import TONE_AXES_IN_WORDS

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from setsolver.domain.solution import Clash
    from setsolver.rules import Assembly

__all__ = ["broken_in_words", "clashes_in_words"]


def clashes_in_words(assembly: Assembly, clashes: Iterable[Clash]) -> tuple[Clashing, ...]:
    """Return each clashing rule as the brief would say it, with the smallest loosening that alone is enough."""
    return tuple(
        Clashing(rule=c.rule, says=assembly.says(c.rule), loosened=c.loosened, way_out=_way_out(assembly, c))
        for c in clashes
    )


def broken_in_words(assembly: Assembly, broken: Sequence[str]) -> list[str]:
    """Return broken rules as ``domain.validate.broken_rules`` names them, in the brief's words."""
    said = []
    for line in broken:
        key, _, rest = line.partition(": ")
        words = assembly.says(key)
        said.append(line if words == key else f"{words}: {rest}")
    return said


def _way_out(assembly: Assembly, clash: Clash) -> str:
    key, _, rest = clash.rule.partition("[")
    index = int(rest.rstrip("]")) if rest.rstrip("]").isdigit() else 0
    if key in ("include", "exclude"):
        return f"drop this {key}"
    if key == "conflict":
        return "let near-duplicates in"
    if clash.loosened is None:
        return ""
    return _loosened(assembly, key, index, clash.loosened)


def _loosened(assembly: Assembly, key: str, index: int, value: float) -> str:
    problem = assembly.problem
    if key == "size":
        return f"a set of {value:.0f} instead of {problem.size}"
    if key in ("role_min", "role_max"):
        least_or_most = "at least" if key == "role_min" else "at most"
        role, now = assembly.brief.role_names[index], getattr(problem, key)[index]
        return f"{role}: {least_or_most} {value:.0f} instead of {now}"
    if key == "group_cap":
        return f"{value:.0f} instead of {problem.group_cap[index]}"
    if key == "tone_reach":
        axis = TONE_AXES_IN_WORDS.get(assembly.axes[index], assembly.axes[index])
        # Rounded up, so that the number a person types is enough.
        return f"reach of {axis} {problem.tone_reach[index]:g} -> {ceil(value * 10 - 1e-9) / 10:g}"
    return ""
