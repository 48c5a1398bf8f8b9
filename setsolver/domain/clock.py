"""What a photographer may say of a camera's clock: by how much its times are wrong, or that they are worth nothing."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Final

from setsolver.domain.corrections import MEASURED
from setsolver.errors import BadInput

__all__ = ["WORTHLESS", "checked_clock", "plain_shift", "shift_of"]

WORTHLESS: Final = "none"
_UNITS: Final = {"d": 86_400, "h": 3_600, "m": 60, "s": 1}
_SHIFT: Final = re.compile(r"([+-]?)" + "".join(rf"(?:(\d{{1,5}}){unit})?" for unit in _UNITS))


def checked_clock(said: str) -> str | None:
    """Return what was said of a clock in its plain form, None for "measured", which takes back what was said before.

    Parameters
    ----------
    said : what its times lack, such as +1h, -7m, +1h30m, +2d; 0h where it is right; "none" where it is worth nothing.

    Raises
    ------
    BadInput
        Where it is none of these.
    """
    if said in (MEASURED, WORTHLESS):
        return None if said == MEASURED else WORTHLESS
    seconds = _seconds(said)
    if seconds is None:
        raise BadInput(
            f"{said!r} sets no clock; write what its times lack, such as +1h, -7m or +1h30m (days d, hours h, minutes "
            f"m, seconds s), 0h where it is right, {WORTHLESS} where it is worth nothing, {MEASURED} to take it back"
        )
    return plain_shift(seconds)


def plain_shift(seconds: int) -> str:
    """Return a shift as it is written: +1h30m, -7m, 0h."""
    if not seconds:
        return "0h"
    sign, left, parts = "-" if seconds < 0 else "+", abs(seconds), ""
    for unit, size in _UNITS.items():
        count, left = divmod(left, size)
        parts += f"{count}{unit}" if count else ""
    return sign + parts


def shift_of(clock: str) -> timedelta | None:
    """Return what is added to a camera's times by a checked clock, None where they are worth nothing."""
    return None if clock == WORTHLESS else timedelta(seconds=_seconds(clock) or 0)


def _seconds(said: str) -> int | None:
    """Return a shift in seconds, None where it is none; all but nothing needs a sign: it is not guessed."""
    found = _SHIFT.fullmatch(said)
    counts = found and found.groups()[1:]
    if found is None or not any(counts or ()):
        return None
    total = sum(int(count or 0) * size for count, size in zip(counts or (), _UNITS.values(), strict=True))
    if total and not found[1]:
        return None
    return -total if found[1] == "-" else total
