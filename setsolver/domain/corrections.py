"""What a photographer may say of a frame against what was measured."""

from __future__ import annotations

from typing import Final

from setsolver.domain.measures import KINDS, SCALES
from setsolver.errors import BadInput

__all__ = ["CORRECTIONS", "MEASURED", "checked", "corrections_in_words"]

CORRECTIONS: Final[dict[str, tuple[str, ...]]] = {
    "scale": SCALES,
    "turn": ("0", "90", "180", "270"),
    "stars": ("0", "1", "2", "3", "4", "5"),
    "kind": KINDS,
}
"""What can be said, by name, and the values it may have. turn : degrees clockwise by which the file's picture has to be
turned to stand upright, on top of the orientation in its metadata; 0 says that it does. stars : how glad you are of the
frame, 0 the least; they win over the rating in its metadata."""
MEASURED: Final = "measured"
"""The value that takes a correction back."""


def checked(name: str, value: str | None) -> str | None:
    """Return the value of a correction; None takes it back.

    Raises
    ------
    BadInput
        Where nothing of this name can be said, or not this value.
    """
    if name not in CORRECTIONS:
        raise BadInput(f"{name!r} corrects nothing; say one of {', '.join(CORRECTIONS)}")
    if value is not None and value not in CORRECTIONS[name]:
        raise BadInput(f"{value!r} is no {name}; say one of {', '.join(CORRECTIONS[name])}")
    return value


def corrections_in_words() -> str:
    """Return what can be written as a correction, in one line."""
    return "; ".join(
        ", ".join(f"{name}={value}" for value in (*values, MEASURED)) for name, values in CORRECTIONS.items()
    )
