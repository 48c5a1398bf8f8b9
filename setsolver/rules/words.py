"""Small words: counts, lists, and the nearest names to a wrong one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from difflib import get_close_matches

__all__ = ["count", "in_a_row", "nearest", "number", "signed"]

NEAREST = 3


def count(number: int, one: str, many: str | None = None) -> str:
    """Return "1 frame", "2 frames"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def number(value: float, decimals: int = 1) -> str:
    """Return a number with a true minus sign (U+2212), never "minus zero"."""
    text = f"{value:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0 else text.replace("-", "\u2212")


def signed(value: float, decimals: int = 1) -> str:
    """Return a number with its sign; 0 has none."""
    text = number(value, decimals)
    return f"+{text}" if float(f"{value:.{decimals}f}") > 0 else text


def in_a_row(names: Sequence[str], last: str = "and") -> str:
    """Return "a", "a and b", "a, b and c"."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {last} {names[-1]}"


def nearest(wrong: str, known: Iterable[str]) -> str:
    """Return '; did you mean "a" or "b"?', or nothing where no name is near."""
    folded: dict[str, str] = {}
    for name in known:
        folded.setdefault(name.casefold(), name)
    found = [folded[name] for name in get_close_matches(wrong.casefold(), folded, n=NEAREST, cutoff=0.6)]
    quoted = [f'"{name}"' for name in found]
    return f"; did you mean {in_a_row(quoted, 'or')}?" if found else ""
