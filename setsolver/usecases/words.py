"""Rules of the problem said in the words of the brief: clashes with their way out, and broken rules."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from setsolver.domain.columns import paths_of
from setsolver.domain.outcome import Clashing
from setsolver.rules.words import count
from setsolver.solver.ruleset import Rule
from setsolver.solver.wording import Names, frames_able, rule_in_words, way_out

if TYPE_CHECKING:
    from collections.abc import Container, Iterable

    from setsolver.domain.solution import Clash
    from setsolver.rules import Assembly

__all__ = ["clashes_in_words", "names_of", "rule_said"]


def names_of(assembly: Assembly) -> Names:
    """Return what the problem's roles, axes and frames are called in the brief and the catalog."""
    return Names(
        roles=[slot.name for slot in assembly.slots],
        axes=[axis.says for axis in assembly.axes],
        groups=[cap.one for cap in assembly.caps],
        frames=dict(enumerate(paths_of(assembly.snapshot.frames))),
    )


def clashes_in_words(assembly: Assembly, clashes: Iterable[Clash]) -> tuple[Clashing, ...]:
    """Return each clashing rule as the brief would say it, with the smallest loosening that alone is enough."""
    names, told = names_of(assembly), tuple(clashes)
    counted = {_rule(clash.rule).at for clash in told if _rule(clash.rule).key == "gain"}
    return tuple(_clashing(assembly, names, clash, counted) for clash in told)


def _clashing(assembly: Assembly, names: Names, clash: Clash, counted: Container[int | None]) -> Clashing:
    """Return one rule in words; how many can play a role is left to the rule that counts them, where it clashes too."""
    rule = _rule(clash.rule)
    out = way_out(assembly.problem, rule, clash.loosened, names)
    says = rule_said(assembly, clash.rule, names)
    if rule.key == "role_min" and rule.at in counted:
        says = assembly.words.get(f"least[{rule.at}]", says)
    return Clashing(rule=clash.rule, says=says, loosened=clash.loosened, way_out=out)


def rule_said(assembly: Assembly, key: str, names: Names) -> str:
    """Return a rule as the brief says it, or else as the solver words it."""
    says, rule = assembly.says(key), _rule(key)
    least, nobody, none = (assembly.words.get(f"{word}[{rule.at}]") for word in ("least", "nobody", "none"))
    if least is None or nobody is None or none is None or rule.key not in ("role_min", "gain"):
        return rule_in_words(assembly.problem, rule, names) if says == key else says
    able = frames_able(assembly.problem, rule.at or 0)  # as the clash counts: who is out, or came in by a wish
    if rule.key == "role_min":
        return f"{least} ({count(able, 'frame')} can)" if able else f"{least} ({nobody})"
    return rule_in_words(assembly.problem, rule, names) if able else none


def _rule(text: str) -> Rule:
    """Return the rule that a key such as "role_min[2]" or "gain[:,1]" names."""
    key, number = re.fullmatch(r"(\w+)(?:\[(?::,)?(\d+)\])?", text).groups()  # type: ignore[union-attr]  # the solver's own keys
    return Rule(key, None if number is None else int(number))
