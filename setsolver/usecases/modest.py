"""The assembly of a brief that asks for little, so that rules speak even where a catalog cannot give what is asked."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from setsolver.rules import Assembly, assemble
from setsolver.rules.words import count

if TYPE_CHECKING:
    from setsolver.domain.brief import Brief
    from setsolver.domain.snapshot import Snapshot

__all__ = ["Asked", "modest_assembly"]


class Asked(NamedTuple):
    """What a brief asks for in numbers of frames: size, and least and most of each role."""

    size: int
    role_min: list[int]
    role_max: list[int]


def modest_assembly(snapshot: Snapshot, brief: Brief) -> tuple[Assembly, Asked]:
    """Return the assembly with size 1, no least number of any slot and no frame forced in or out, and what is asked.

    Raises
    ------
    BadBrief
        Where not even one frame can be used.
    """
    asked = Asked(brief.size, [slot.least for slot in brief.slots], [slot.most for slot in brief.slots])
    assembly = assemble(snapshot, brief, modest=True)
    return replace(assembly, words=assembly.words | _counted(brief, asked)), asked


def _counted(brief: Brief, asked: Asked) -> dict[str, str]:
    """Return the rules that count frames, said with the numbers that the brief really asks for."""
    words = {"size": f"the set has {count(asked.size, 'frame')}"}
    for index, (name, least, most) in enumerate(zip(brief.role_names, asked.role_min, asked.role_max, strict=True)):
        words[f"role_min[{index}]"] = f"at least {count(least, f'{name} frame')}"
        words[f"role_max[{index}]"] = f"at most {count(most, f'{name} frame')}"
    return words
