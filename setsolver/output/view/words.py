"""Numbers, names, dates and proofs as a reader meets them."""

from __future__ import annotations

from datetime import datetime

from setsolver.domain.outcome import Correction, SetFound
from setsolver.output.inert import inert, name_of
from setsolver.rules.words import number, signed

__all__ = [
    "bound_in_words",
    "correction_in_words",
    "counted",
    "day",
    "inert",
    "moment",
    "name_of",
    "number",
    "number_cm",
    "per_cent",
    "points",
    "rule_name",
    "signed",
]

_EVEN = 0.05
"""A gap below this rounds to 0.0 points."""


def number_cm(value: float) -> str:
    """Return centimetres to a millimetre, without a decimal that says nothing: "30", "19.8"."""
    return f"{round(value, 1):g}"


def points(value: float) -> str:
    """Return "12.3 points"."""
    return f"{number(value)} point" + ("" if number(value) == "1.0" else "s")


def counted(amount: int, one: str) -> str:
    """Return "1 frame", "2 frames"."""
    return f"{amount} {one}" + ("" if amount == 1 else "s")


def per_cent(share: float, decimals: int = 0) -> str:
    """Return "81 %" of 0.81, held together by a no-break space."""
    return f"{share * 100:.{decimals}f}\u00a0%"


def rule_name(rule: str) -> str:
    """Return a rule's name as a heading: "near_duplicates" reads "Near duplicates"."""
    words = inert(rule).replace("_", " ")
    return words[:1].upper() + words[1:]


def day(iso: str) -> str:
    """Return "25 November 2026" of an ISO 8601 moment; the text itself where it is none."""
    try:
        when = datetime.fromisoformat(iso)
    except ValueError:
        return inert(iso)
    return f"{when.day} {when:%B %Y}"


def moment(iso: str | None) -> str:
    """Return "1 May 2024, 17:03", the day alone where no more is known, or that the time is unknown."""
    if iso is None:
        return "time unknown"
    try:
        when = datetime.fromisoformat(iso)
    except ValueError:
        return inert(iso)
    return f"{when.day} {when:%b %Y}" + (f"{when:, %H:%M}" if "T" in iso else "")


def bound_in_words(found: SetFound, *, first: bool = True) -> str:
    """Return how good a set is proven to be, as a sentence that claims no more than was proven.

    first : False for a set that stands behind others, whatever its kind: only the first can be the best of all.
    """
    if found.kind == "graded":
        return "Graded as given; no other set was sought."
    gap = found.bound - found.score
    if found.proven and first:
        return "Proven: no other set of these frames under this brief scores more."
    if found.proven:
        return "Proven: no other set that differs in this way scores more."
    least = "less than 0.1 points" if gap < _EVEN else points(gap)
    return f"Not proven best: a set that scores up to {least} more may exist."


def correction_in_words(correction: Correction) -> str:
    """Return what a correction does, in the order in which one would work."""
    moves = [
        _move(correction.mid, "mid tones", "lighter", "darker"),
        _move(correction.black, "blacks", "lifted", "deepened"),
        _move(correction.white, "whites", "raised", "lowered"),
        _move(correction.cast_a, "greys", "towards red", "towards green"),
        _move(correction.cast_b, "greys", "towards yellow", "towards blue"),
        _move(correction.vignette, "corners", "lighter", "darker", " EV"),
        _move(correction.grain, "grain", "added", "taken"),
    ]
    said = "; ".join(move for move in moves if move)
    return said[0].upper() + said[1:] if said else "None: it fits as it was shot"  # EV keeps its capitals


def _move(amount: float, what: str, more: str, less: str, unit: str = "") -> str:
    if number(amount) == "0.0":
        return ""
    return f"{what} {more if amount > 0 else less} by {number(abs(amount))}{unit}"
