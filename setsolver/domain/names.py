"""Names of frames as people write them: one letter may be one sign or several, and means the same."""

from __future__ import annotations

from collections.abc import Collection
from fnmatch import fnmatchcase
from unicodedata import normalize

__all__ = ["as_written", "fits", "same_name"]


def as_written(name: str) -> str:
    """Return a name with each accented letter as one sign (Unicode, UAX 15, form C).

    macOS gives many names with accents as signs of their own, and keyboards give the other form; both look the same.
    """
    return name if name.isascii() else normalize("NFC", name)


def fits(name: str, pattern: str) -> bool:
    """Return True where a name fits a glob; case counts, the form of accents does not."""
    return fnmatchcase(as_written(name), as_written(pattern))


def same_name(name: str, known: Collection[str]) -> str | None:
    """Return the known name that is this one, or else the only one that is written the same; None where none is."""
    if name in known:
        return name
    if name.isascii():
        return None
    written = as_written(name)
    same = [one for one in known if as_written(one) == written]
    return same[0] if len(same) == 1 else None
