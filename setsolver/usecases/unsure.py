"""Roles that people may not see: a frame of the best set that is hardly what its place asks for, and the way out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from setsolver.domain.measures import SCALES
from setsolver.rules.role_fit import UNSURE

if TYPE_CHECKING:
    from setsolver.domain.problem import Floats
    from setsolver.domain.slot import Slot
    from setsolver.domain.solution import Choice
    from setsolver.rules import Assembly

__all__ = ["unsure_roles"]


def unsure_roles(assembly: Assembly, choice: Choice) -> tuple[str, ...]:
    """Return a sentence for each frame of a set whose odds of its slot's shot scale are under ``UNSURE``.

    Nothing is said of frames whose scale the user said, nor of slots that a match fills.
    """
    return tuple(
        _said(assembly, row, role)
        for row, role in zip(choice.chosen, choice.roles, strict=True)
        if _guessed(assembly.slots[role]) and _odds(assembly, assembly.slots[role])[row] < UNSURE
    )


def _guessed(slot: Slot) -> bool:
    return slot.match is None


def _odds(assembly: Assembly, slot: Slot) -> Floats:
    """Return the odds of a slot's scale, [M]."""
    return assembly.table.odds[:, SCALES.index(slot.role)]


def _said(assembly: Assembly, row: int, role: int) -> str:
    slot = assembly.slots[role]
    path, every = assembly.renditions[row].frame.path, _odds(assembly, slot)
    able = ~np.isnan(assembly.problem.gain[:, role])
    surest = int(np.argmax(np.where(able, every, -np.inf)))  # the first of equals
    odds, best = float(every[row]), float(every[surest])
    if best < UNSURE:
        other = assembly.renditions[surest].frame.path
        nearest = "" if other == path else f"; the nearest is {other} at {100 * best:.0f} %"
        return (
            f"no sure {slot.role} frame: {path} plays it at {100 * odds:.0f} %{nearest}; confirm with "
            f"`setsolver frames FOLDER --set {path} scale={slot.role}`, or shoot one"
        )
    return (
        f"{path} plays {slot.role} at {100 * odds:.0f} % only; the surest {slot.role} frame is "
        f"{assembly.renditions[surest].frame.path} at {100 * best:.0f} %"
    )
